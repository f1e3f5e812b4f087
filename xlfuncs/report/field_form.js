"use strict";
// The forward model and the evidence of xlfuncs.gauge.faulty, evidence and guide, for single causes.
const D = JSON.parse(document.getElementById("data").textContent), G = D.gauge, KEY = "xlfuncs field " + D.tag;
for (const k of ["lrv", "urv", "room"]) if (G[k] === null) G[k] = NaN;
const own = D.noise * D.noise, TOP = G.top;
function depth(m, lower, upper) {
  const whole = D.volume[D.volume.length - 1], v = (m - upper * whole) / (lower - upper), n = D.volume.length - 1;
  if (!(v > 0 && v < whole)) return NaN;
  let a = 0, b = n;
  while (b - a > 1) { const c = (a + b) >> 1; if (D.volume[c] <= v) a = c; else b = c; }
  return G.length * (a + (v - D.volume[a]) / (D.volume[b] - D.volume[a])) / n;
}
const SOUND = {reference: 0, reference_gain: 1, density: 1, upper: 0, chamber: 1, gas_low: 0, gas_high: 0, pocket: 0, sample_spread: 0, lean: 0,
  choke: 0, choke_power: 1, choke_spread: D.spread, trapped: NaN, compliance: 0, mass: 0, plane: 0, inverted: false, band: 0, hang: 0, lag: 0,
  held: NaN, ceiling: Infinity, floor: -Infinity, scale: 0, indicator: NaN, dead: NaN, dead_length: 0, mounting: 0,
  zero: 0, span: 1, reversed: false, frozen: NaN, step: 0};
function stated(s, magnet) {
  let y = G.lrv + (magnet + s.mounting - G.lrv - s.zero) / s.span, slope = 1 / s.span;
  if (s.reversed) { y = G.lrv + G.urv - y; slope = -slope; }
  return isNaN(s.frozen) ? [y, slope] : [s.frozen, 0];
}
function predict(s, r, scale) {
  const upper = G.upper + s.upper, vessel = G.density * scale * s.density, chamber = vessel * s.chamber;
  const choked = s.choke * r.way, t = (r.level - s.reference) / s.reference_gain - choked;
  let level = t, slope = 1 / s.reference_gain;
  if (s.gas_low || s.gas_high) {
    const here = Math.min(Math.max(t / TOP, 0), 1), mean = s.gas_low + (s.gas_high - s.gas_low) * here / 2;
    level = t * (vessel * (1 - mean) - upper) / (chamber - upper);
  } else if (s.chamber !== 1 && t > 0) level = t * (vessel - upper) / (chamber - upper);
  level += s.pocket;
  if (!isNaN(s.trapped) && D.interface) { level = s.trapped + s.compliance * (t - s.trapped); slope = s.compliance; }
  else if (!isNaN(s.trapped)) {
    const room = Math.max(TOP - s.trapped, D.least_gas), c = s.compliance, p = (1 - c) * room;
    const half = p + c * (t - s.trapped - room), root = Math.sqrt(half * half + 4 * c * p * room), x = 2 * p * room / (half + root);
    level = s.trapped + room - x; slope = c * x / root;
  }
  const along = 1 / Math.cos(s.lean * Math.PI / 180);
  level *= along; slope *= along;
  const plane = (s.inverted ? G.length - G.plane : G.plane) + G.shift;
  const afloat = level + plane + s.plane - depth(G.mass + s.mass, chamber, upper)
    - (s.band + s.hang / 2) * r.way - s.lag * D.rate * r.way;
  const behind = s.choke_spread * (r.way ? choked : s.choke);
  let loose = (r.way ? 0 : s.band * s.band / 3) + s.hang * s.hang / (r.way ? 12 : 3) + behind * behind;
  const low = isNaN(G.room) ? s.floor : Math.max(s.floor, G.plane + G.shift - G.room);
  let magnet = Math.min(Math.max(afloat, low), s.ceiling);
  let variance = magnet === afloat ? slope * slope * own + loose : 0;
  if (isNaN(afloat)) magnet = NaN;
  if (!isNaN(s.held)) { magnet = s.held; variance = 0; }
  let shown = magnet, follows = 1, dead = 0;
  if (Math.abs(magnet - s.dead) < s.dead_length / 2) {
    const way = isNaN(r.indicated) ? r.way : Math.sign(s.dead - r.indicated);
    shown = s.dead - s.dead_length / 2 * way; follows = 0; dead = way ? 0 : s.dead_length ** 2 / 4;
  }
  shown += s.scale;
  if (!isNaN(s.indicator)) { shown = s.indicator; follows = 0; dead = 0; }
  const [sent, gain] = stated(s, magnet), stepped = own + s.step * s.step / 12;
  return {magnet, variance, shown, v1: own + dead + follows * variance, sent, v2: stepped + gain * gain * variance,
    shared: follows * gain * variance};
}
const past = (d, way) => way * d < 0 ? 0 : d;
function residuals(s, reads, scale) {
  const r = [], v = [];
  for (const x of reads) {
    const p = predict(s, x, scale), a = past(x.indicated - p.shown, x.beyond);
    let b = past(x.signal - p.sent, x.saturated), vb = p.v2;
    if (!isNaN(x.indicated)) { r.push(a); v.push(p.v1); const k = p.shared / p.v1; b -= k * a; vb -= k * p.shared; }
    if (!isNaN(x.signal)) { r.push(b); v.push(vb); }
  }
  return [r, v];
}
function stateOf(cause, values) {
  const s = {...SOUND};
  for (const [name, value] of Object.entries(cause.change))
    s[name] = value === "p0" ? values[0] : value === "p1" ? values[1] : value;
  return s;
}
// ln of the likelihood of the readings, chi2 and its number of residuals
function compared(cause, s, reads) {
  const [r, v] = residuals(s, reads, 1), step = 1e-4;
  const moved = cause.free ? r : residuals(s, reads, 1 + step)[0];
  let chi = 0, log = 0, spread = 1, along = 0;
  r.forEach((x, i) => {
    const u = cause.free ? 0 : ((moved[i] - x) / Math.log1p(step) || 0) * D.density_noise;
    chi += x * x / v[i]; log -= 0.5 * Math.log(v[i]); spread += u * u / v[i]; along += x * u / v[i];
  });
  chi -= along * along / spread; log -= 0.5 * Math.log(spread) + 0.5 * chi;
  return {log, chi, count: r.length};
}
// probability of a chi2 as large or larger, by Wilson and Hilferty; erfc by Abramowitz and Stegun 7.1.26
function chance(chi, n) {
  if (n < 1) return 1;
  const w = 2 / (9 * n), x = ((chi / n) ** (1 / 3) - 1 + w) / Math.sqrt(2 * w), z = Math.abs(x), t = 1 / (1 + 0.3275911 * z);
  const c = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) * Math.exp(-z * z);
  return 0.5 * (x < 0 ? 2 - c : c);
}
function likelihood(cause, values, reads, answers) {
  const s = stateOf(cause, values);
  let log = compared(cause, s, reads).log;
  for (const q of D.questions) {
    const a = answers[q.name];
    if (a === undefined) continue;
    if (q.mass) log += massLog(cause, s, a);
    else if (typeof a === "number") log += sampleLog(s, a);
    else { const p = sign(q, cause); log += Math.log(a === q.sign ? p : 1 - p); }
  }
  return isNaN(log) ? -Infinity : log;
}
const normal = (x, v) => Math.exp(-0.5 * x * x / v) / Math.sqrt(2 * Math.PI * v);
function massLog(cause, s, a) {
  if (cause.other) {
    const more = a - G.mass, sister = -s.plane * D.sister, v = D.weighing ** 2 + (D.sister_spread * sister) ** 2;
    return Math.log(0.1 * normal(more, D.weighing ** 2) + 0.45 * normal(more, (0.3 * G.mass) ** 2) + 0.45 * normal(more - sister, v));
  }
  const e = a - G.mass - s.mass, N = D.numbers, share = e > 0 ? 2 * N.too_heavy : 2 * (1 - N.too_heavy);
  return Math.log((1 - N.wrong) * normal(e, D.weighing ** 2) + N.wrong * share * normal(e, (N.wrong_mass * G.mass) ** 2));
}
function sampleLog(s, a) {
  const e = Math.log(a / G.density) - Math.log(s.density * s.chamber), N = D.numbers;
  let right = normal(e, 2 * D.density_noise ** 2);
  if (s.sample_spread) right = (1 - N.other_sample) * right + N.other_sample * (e * s.pocket < 0 ? 2 : 0) * normal(e, s.sample_spread ** 2);
  return Math.log((1 - N.wrong) * right + N.wrong * normal(e, N.wrong_density ** 2));
}
// the answer is the sign of something wrong; a sample's density where it is not the stated one
const signed = (q, a) => typeof a === "number" ? Math.abs(a / G.density - 1) > D.numbers.same_density : a === q.sign;
const sign = (q, cause) => Math.max(q.shows[cause.name] || 0, q.false);
function fit(cause, reads, answers) {
  const made = [cause, ...cause.forms].map(c => fitOne(c, reads, answers)), best = made.reduce((a, b) => b.log > a.log ? b : a);
  if (made.length === 1 || best.log === -Infinity) return best;
  return {...best, log: best.log + Math.log(made.reduce((t, f) => t + Math.exp(f.log - best.log), 0) / made.length)};
}
function fitOne(cause, reads, answers) {
  const n = cause.spans.length;
  if (!n) { const log = likelihood(cause, [], reads, answers); return {log, top: log, values: [], cause}; }
  const side = n === 1 ? 161 : 41, close = n === 1 ? 6 : 2;
  let box = cause.spans.map(x => [...x]), best = -Infinity, values = null, parts = [];
  for (let zoom = 0; zoom < (n === 1 ? 2 : 4); zoom++) {
    const cell = box.map(([a, b]) => (b - a) / side), logs = [];
    let at = 0;
    const points = [];
    for (let i = 0; i < side; i++) for (let j = 0; j < (n === 1 ? 1 : side); j++) {
      const p = [box[0][0] + (i + 0.5) * cell[0]];
      if (n > 1) p.push(box[1][0] + (j + 0.5) * cell[1]);
      points.push([i, j, p]);
      logs.push(likelihood(cause, p, reads, answers));
      if (logs[logs.length - 1] > logs[at]) at = logs.length - 1;
    }
    if (logs[at] > best) { best = logs[at]; values = points[at][2]; }
    if (best === -Infinity) return {log: best, top: best, values: [], cause};
    const last = zoom === (n === 1 ? 1 : 3), [bi, bj] = points[at], area = cell.reduce((a, b) => a * b, 1);
    points.forEach(([i, j], k) => {
      if (last || Math.abs(i - bi) > close || (n > 1 && Math.abs(j - bj) > close)) parts.push([logs[k], area]);
    });
    box = box.map(([a, b], d) => { const c = d ? bj : bi;
      return [a + Math.max(c - close, 0) * cell[d], a + Math.min(c + close + 1, side) * cell[d]]; });
  }
  const total = parts.reduce((t, [l, area]) => t + Math.exp(l - best) * area, 0);
  const range = cause.spans.reduce((t, [a, b]) => t * (b - a), 1);
  return {log: best + Math.log(Math.max(total, 1e-300) / range), top: best, values, cause};
}
function gauss(r, C) { // ln of the normal density without its 2 pi, by Cholesky
  const n = r.length, L = C.map(row => [...row]), y = [];
  let log = 0;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let t = C[i][j];
      for (let k = 0; k < j; k++) t -= L[i][k] * L[j][k];
      L[i][j] = i === j ? Math.sqrt(Math.max(t, 1e-18)) : t / L[j][j];
    }
    let t = r[i];
    for (let k = 0; k < i; k++) t -= L[i][k] * y[k];
    y.push(t / L[i][i]); log -= Math.log(L[i][i]) + 0.5 * y[i] * y[i];
  }
  return log;
}
const meanLog = logs => { const m = Math.max(...logs); return m + Math.log(logs.reduce((t, x) => t + Math.exp(x - m), 0) / logs.length); };
// ln of the probability of all answers for what is in no list
function noneSees(answers) {
  let log = 0, shows = 0, hides = 0;
  for (const q of D.questions) {
    const a = answers[q.name];
    if (a === undefined) continue;
    if (q.mass) log += Math.log(0.5 * normal(a - G.mass, (0.2 * G.mass) ** 2 + D.weighing ** 2) + 0.5 * normal(a - G.mass, D.weighing ** 2));
    else if (typeof a === "number") log += Math.log(0.5 * normal(Math.log(a / G.density), 2 * D.density_noise ** 2) + 0.5 * normal(Math.log(a / G.density), D.numbers.wrong_density ** 2));
    else {
      const some = Math.max(D.none_shows, q.false);
      shows += Math.log(a === q.sign ? some : 1 - some); hides += Math.log(a === q.sign ? q.false : 1 - q.false);
    }
  }
  const top = Math.max(shows, hides);
  return log + top + Math.log((Math.exp(shows - top) + Math.exp(hides - top)) / 2);
}
function none(reads, answers) {
  const r = [], row = [], kind = [], base = [], u = [];
  reads.forEach((x, i) => {
    const p = predict(SOUND, x, 1), q = predict(SOUND, x, 1 + 1e-4), bend = (q.magnet - p.magnet) / Math.log1p(1e-4) * D.density_noise;
    const add = (e, k) => { r.push(e); row.push(i); kind.push(k); base.push(p.variance); u.push(bend || 0); };
    if (!isNaN(x.indicated)) add(past(x.indicated - p.shown, x.beyond), 0);
    if (!isNaN(x.signal)) add(past(x.signal - p.sent, x.saturated), 1);
  });
  const n = r.length, where = row.map(i => reads[i].level / TOP - 0.5), N = D.none;
  const matrix = extra => r.map((_, i) => r.map((_, j) => (row[i] === row[j] ? base[i] : 0) + (i === j ? own : 0) + u[i] * u[j] + extra(i, j)));
  let log = 0;
  if (n) {
    const logs = [];
    for (const how of ["both", "each", "indicator", "signal"]) for (const share of N.scatter)
      logs.push(gauss(r, matrix((i, j) => {
        if (how === "each" && kind[i] !== kind[j]) return 0;
        if ((how === "indicator" && (kind[i] || kind[j])) || (how === "signal" && !(kind[i] && kind[j]))) return 0;
        return (N.shift * TOP) ** 2 + (N.slope * TOP) ** 2 * where[i] * where[j] + (row[i] === row[j] ? (share * TOP) ** 2 : 0);
      })));
    const wide = (N.one * TOP) ** 2, marks = [];
    for (let i = 0; i < n; i++) marks.push(k => k === i ? 1 : 0);
    for (const i of new Set(row)) marks.push(k => row[k] === i ? 1 : 0);
    logs.push(meanLog(marks.map(m => gauss(r, matrix((i, j) => wide * m(i) * m(j))))));
    log = meanLog(logs);
  }
  return log + noneSees(answers) + D.none_prior;
}
function weigh(reads, answers) {
  const found = D.causes.map(c => fit(c, reads, answers));
  found.push({cause: D.none_cause, log: none(reads, answers), top: -Infinity, values: []});
  const most = Math.max(...found.map(f => f.log)), sum = found.reduce((t, f) => t + Math.exp(f.log - most), 0);
  found.forEach(f => { f.weight = Math.exp(f.log - most) / sum; });
  return found.sort((a, b) => b.weight - a.weight);
}
// causes that explain readings and answers as well as the first: only a question parts them
function alike(found) {
  const best = found[0];
  if (best.cause.none || best.cause.sound) return [];
  return found.slice(1).filter(f => !f.cause.none && !f.cause.sound && f.top > best.top - Math.log(D.parted)
    && !(f.cause.mended && f.cause.mended === best.cause.mended));
}
const entropy = p => { p = Math.min(Math.max(p, 1e-12), 1 - 1e-12); return -(p * Math.log2(p) + (1 - p) * Math.log2(1 - p)); };
function bits(q, likely) {
  if (!q.mass) {
    const p = likely.map(f => f.cause.none ? D.none_sign : sign(q, f.cause));
    return entropy(likely.reduce((t, f, i) => t + f.weight * p[i], 0)) - likely.reduce((t, f, i) => t + f.weight * entropy(p[i]), 0);
  }
  const mean = likely.map(f => G.mass + (f.cause.change.mass ? f.values[0] || 0 : 0));
  const sd = likely.map(f => f.cause.other ? 0.3 * G.mass : f.cause.none ? 0.2 * G.mass : f.cause.change.mass ? 5 * D.weighing : D.weighing);
  let out = 0;
  for (let k = 0; k < 400; k++) {
    const x = G.mass * (0.2 + k * 0.005), w = G.mass * 0.005, p = likely.map((f, i) => normal(x - mean[i], Math.max(sd[i], w) ** 2));
    const all = p.reduce((t, y, i) => t + likely[i].weight * y, 0);
    p.forEach((y, i) => { if (y > 1e-30 && all > 0) out += likely[i].weight * y * Math.log2(y / all) * w; });
  }
  return Math.max(out, 0);
}
// the answer without which another cause is as likely, and what that would be
function restsOn(found, answers, reads) {
  const first = found[0].cause;
  let worst = null;
  for (const q of D.questions) {
    const a = answers[q.name];
    if (a === undefined) continue;
    const rest = {...answers};
    delete rest[q.name];
    const seen = noneSees(answers) - noneSees(rest), number = typeof a === "number";
    const logs = number ? [] : found.map(f => { const p = sign(q, f.cause); return f.log - (f.cause.none ? seen : Math.log(a === q.sign ? p : 1 - p)); });
    const top = Math.max(...logs), sum = logs.reduce((t, x) => t + Math.exp(x - top), 0);
    const anew = number ? weigh(reads, rest) : found.map((f, i) => ({cause: f.cause, weight: Math.exp(logs[i] - top) / sum})).sort((x, y) => y.weight - x.weight);
    const kept = anew.find(f => f.cause.name === first.name).weight;
    if (kept < D.holds && (!worst || kept < worst.kept)) worst = {q, kept, instead: anew.filter(f => f.cause.name !== first.name)};
  }
  if (!worst) return "";
  const named = worst.instead.filter(f => f.weight >= worst.instead[0].weight / 2).slice(0, 6).map(f => `${f.cause.name} (${f.weight.toFixed(2)})`);
  return `This rests on one answer: ${worst.q.text} ${spoken(worst.q, answers[worst.q.name])}. Look again; if it was wrong: ${named.join("; ")}.`;
}
// what the cause nearly always shows was looked for and not seen
function denied(cause, answers) {
  const shown = D.questions.filter(q => !q.mass && answers[q.name] !== undefined && sign(q, cause) >= D.confirms);
  return shown.length > 0 && !shown.some(q => signed(q, answers[q.name]));
}
// what the cause that was found would nearly always show, where it opens little more
function confirming(found, answers, skipped, opened) {
  const cause = found[0].cause, shown = D.questions.filter(q => !q.mass && sign(q, cause) >= D.confirms);
  if (shown.some(q => answers[q.name] !== undefined)) return undefined;
  return [...shown].sort((a, b) => sign(b, cause) - sign(a, cause)).find(q => !skipped.includes(q.name)
    && (!q.opens || opened.includes(q.opens) || D.opens[q.opens].minutes + D.opens[q.opens].risk <= D.confirms_for));
}
function next(found, answers, skipped, opened) {
  const same = alike(found), likely = found.filter(f => f.weight > 1e-4 || same.includes(f)).map(f => same.includes(f)
    ? {...f, weight: Math.max(f.weight, found[0].weight * Math.exp(Math.min(f.top - found[0].top, 0)))} : {...f});
  const all = likely.reduce((t, f) => t + f.weight, 0);
  likely.forEach(f => { f.weight /= all; });
  let best = null;
  const open = q => { const p = D.questions.find(x => x.name === q.after); return !p || (answers[p.name] !== undefined && signed(p, answers[p.name])); };
  for (const q of D.questions) {
    if (answers[q.name] !== undefined || skipped.includes(q.name) || !open(q)) continue;
    const b = bits(q, likely), o = q.opens && !opened.includes(q.opens) ? D.opens[q.opens] : {minutes: 0, risk: 0};
    const worth = b / (q.minutes + o.minutes + o.risk);
    if (b > D.least_bits && (!best || worth > best.worth)) best = {q, worth};
  }
  return best && best.q;
}
// --- what is typed ------------------------------------------------------------------------------------
let S = {head: {}, found: [{}, {}, {}], left: [{}, {}], answers: {}, skipped: [], opened: []};
try { S = {...S, ...JSON.parse(localStorage.getItem(KEY) || "{}")}; } catch (e) { /* a fresh start */ }
const $ = id => document.getElementById(id);
function number(text) {
  const t = String(text === undefined ? "" : text).trim().toLowerCase().replace(",", ".");
  if (D.below.includes(t)) return [0, -1];
  if (D.above.includes(t)) return [TOP * 1e3, 1];
  const bound = t.match(/^([<>])=?\s*(-?[\d.]+)/);
  if (bound) return [parseFloat(bound[2]), bound[1] === "<" ? -1 : 1];
  const share = t.match(/^(-?[\d.]+)\s*%$/);
  if (share) return [parseFloat(share[1]) / 100 * TOP * 1e3, 0];
  return [/^-?\d+(\.\d+)?$/.test(t) ? parseFloat(t) : NaN, 0];
}
function readings(rows) {
  const made = [];
  for (const x of rows) {
    const [height, none] = number(x.level), level = none ? NaN : height / 1e3, [shown, limit] = number(x.indicated), mA = parseFloat(String(x.current || "").replace(",", "."));
    const indicated = shown / 1e3, share = (mA - 4) / 16;
    const signal = G.urv > G.lrv ? G.lrv + (G.reverse ? 1 - share : share) * (G.urv - G.lrv) : NaN;
    if (isNaN(level) || (isNaN(indicated) && isNaN(signal))) continue;
    const near = 3 * D.noise;
    const beyond = limit || (Math.abs(indicated) <= near ? -1 : Math.abs(indicated - TOP) <= near ? 1 : 0);
    const way = mA <= 3.9 ? -1 : mA >= 20.4 ? 1 : 0;
    made.push({level, indicated, signal, beyond, saturated: G.reverse ? -way : way,
      way: {rising: 1, falling: -1}[x.way] || 0});
  }
  return made;
}
function keep() { localStorage.setItem(KEY, JSON.stringify(S)); }
function el(tag, props, ...inside) {
  const e = Object.assign(document.createElement(tag), props || {});
  e.append(...inside);
  return e;
}
function table(name) {
  const rows = S[name], place = $(name);
  place.replaceChildren();
  rows.forEach((x, i) => {
    const field = (key, label, mode) => {
      const e = el("input", {value: x[key] || "", inputMode: mode, ariaLabel: `${label}, row ${i + 1}`, placeholder: label});
      e.oninput = () => { x[key] = e.value; keep(); late(); };
      return e;
    };
    const way = el("select", {ariaLabel: `direction, row ${i + 1}`}, ...["at rest", "rising", "falling"].map(w => el("option", {textContent: w})));
    way.value = x.way || "at rest";
    way.onchange = () => { x.way = way.value; keep(); late(); };
    place.append(el("div", {className: "row"}, field("level", "true level, mm", "decimal"), way,
      field("indicated", "indicated, mm", "text"), field("current", "current, mA", "decimal")));
  });
}
// nothing more is to be seen of a gauge that reads as designed, within noise
function sound(best, reads) {
  if (!best.cause.sound || !reads.length) return false;
  const made = compared(best.cause, SOUND, reads);
  return chance(made.chi, made.count) >= D.sound;
}
const covered = reads => Math.max(...reads.map(r => r.level)) - Math.min(...reads.map(r => r.level)) >= TOP / 2;
let timer = 0;
function late() { clearTimeout(timer); timer = setTimeout(show, 250); }
function answer(q, value) {
  if (value === null) S.skipped.push(q.name);
  else { S.answers[q.name] = value; if (q.opens) S.opened.push(q.opens); }
  keep(); show();
}
function show() {
  const reads = readings(S.found), found = weigh(reads, S.answers);
  window.weights = found.map(f => [f.cause.name, f.weight, f.log]);
  $("bars").replaceChildren(...(!reads.length ? [] : found).filter((f, i) => i < 6 && f.weight > 0.005).map(f =>
    el("div", {className: "bar"}, el("span", {textContent: f.cause.name}), el("b", {textContent: f.weight.toFixed(2)}),
      el("meter", {value: f.weight, max: 1, ariaLabel: f.cause.name}))));
  const best = found[0], sure = sound(best, reads) || (best.weight >= D.settled && !best.cause.none && !best.cause.scatters
    && !alike(found).length && !denied(best.cause, S.answers));
  const q = sure ? confirming(found, S.answers, S.skipped, S.opened) : next(found, S.answers, S.skipped, S.opened), card = $("next");
  card.replaceChildren();
  if (!reads.length) card.append(el("p", {className: "first", textContent: "Type readings first: a true level and what the gauge shows, at two levels or more. With them there is less to look at, or nothing. You may look first all the same:"}));
  if (!q) {
    const text = sure ? best.cause.sound ? "Nothing wrong shows." + (covered(reads) ? "" : " Only part of the range was read: read near both ends as well.") : `Most likely: ${best.cause.name}.`
      : best.cause.none && best.weight > 0.5 ? "None of these by itself: two causes at once, one that is in no list, or a reading in error. Save the file: 'xlfuncs diagnose' weighs two at once." : "Not settled: nothing more to look at would tell much. Read at other levels.";
    card.append(el("p", {className: "end", textContent: text}));
    const doubt = sure || best.cause.none ? restsOn(found, S.answers, reads) : "";
    if (doubt) card.append(el("p", {textContent: doubt}));
    if (sure && best.cause.mend) card.append(el("p", {textContent: "Mend: " + best.cause.mend}));
    if (sure) card.append(el("p", {textContent: "Then it will read: " + after(best).map(([a, b, c]) => `${a} mm: ${b} mm` + (c ? `, ${c} mA` : "")).join("; ")}));
  } else {
    if (q.opens && !S.opened.includes(q.opens)) card.append(el("p", {className: "caution", textContent: "Caution before this: " + D.opens[q.opens].caution}));
    card.append(el("p", {className: "question", textContent: q.text}), el("p", {className: "small", textContent: `about ${q.minutes} min`}));
    const button = (text, act) => { const b = el("button", {textContent: text, type: "button"}); b.onclick = act; return b; };
    const not = button("Not looked", () => answer(q, null));
    if (q.mass) {
      const e = el("input", {inputMode: "decimal", placeholder: "grams", ariaLabel: "mass of the float in grams"});
      card.append(e, button("Enter", () => { const g = number(e.value)[0]; if (g > 0) answer(q, g / 1e3); else e.focus(); }), not);
    } else if (q.density) {
      const e = el("input", {inputMode: "decimal", placeholder: "kg/m3", ariaLabel: "density of the sample in kg/m3"});
      const near = x => x > G.density / 5 && x < G.density * 5;
      card.append(e, button("Enter", () => { const x = number(e.value)[0]; if (near(x)) answer(q, x); else e.focus(); }),
        button("Yes", () => answer(q, true)), button("No", () => answer(q, false)), not);
    } else card.append(button("Yes", () => answer(q, true)), button("No", () => answer(q, false)), not);
  }
  $("seen").replaceChildren(...D.questions.filter(x => S.answers[x.name] !== undefined).map(x => {
    const undo = el("button", {textContent: "undo", type: "button", className: "undo", ariaLabel: "undo: " + x.text});
    undo.onclick = () => { delete S.answers[x.name]; keep(); show(); };
    return el("li", {}, `${x.text} `, el("b", {textContent: said(x)}), " ", undo);
  }));
}
const spoken = (q, a) => q.mass ? `${(a * 1e3).toFixed(1)} g` : typeof a === "number" ? `${a} kg/m3` : a ? "yes" : "no";
const said = q => spoken(q, S.answers[q.name]);
function after(best) {
  const s = {...SOUND};
  if (best.cause.stays) for (const [k, v] of Object.entries(best.cause.change)) s[k] = v === "p0" ? best.values[0] : v === "p1" ? best.values[1] : v;
  return [0, 0.25, 0.5, 0.75, 1].map(share => {
    const p = predict(s, {level: share * TOP, way: 0, indicated: NaN}, 1), part = (p.sent - G.lrv) / (G.urv - G.lrv);
    return [(1e3 * share * TOP).toFixed(0), (1e3 * Math.min(Math.max(p.shown, 0), TOP)).toFixed(0),
      G.urv > G.lrv ? (4 + 16 * (G.reverse ? 1 - part : part)).toFixed(2) : ""];
  });
}
const cell = x => { const t = String(x === undefined ? "" : x); return /[",\n]/.test(t) ? `"${t.replace(/"/g, '""')}"` : t; };
function file() {
  const head = ["True level (mm)", "Direction", "Indicated (mm)", "Current (mA)"];
  const rows = list => list.filter(x => x.level || x.indicated || x.current).map(x => [x.level, x.way || "at rest", x.indicated, x.current]);
  const out = [["Tag", D.tag], ...["Date", "Calibrator", "Instrument", "Weather"].map(k => [k, S.head[k]]), [], ["As found"], head, ...rows(S.found)];
  if (rows(S.left).length) out.push([], ["As left"], head, ...rows(S.left));
  const told = D.questions.filter(q => S.answers[q.name] !== undefined);
  if (told.length) out.push([], ["Question", "Answer"], ...told.map(q => [q.text, said(q)]));
  out.push([], ["Data of the gauge"], ...D.stated);
  return "\ufeff" + out.map(r => r.map(cell).join(",")).join("\r\n") + "\r\n";
}
for (const key of ["Date", "Calibrator", "Instrument", "Weather"]) {
  const e = $("head-" + key);
  e.value = S.head[key] || "";
  e.oninput = () => { S.head[key] = e.value; keep(); };
}
for (const name of ["found", "left"]) { table(name); $("more-" + name).onclick = () => { S[name].push({}); keep(); table(name); }; }
$("save").onclick = () => {
  const a = el("a", {href: URL.createObjectURL(new Blob([file()], {type: "text/csv"})), download: D.tag.replace(/[^\w.-]+/g, "_") + ".field.csv"});
  a.click();
};
$("print").onclick = () => window.print();
$("again").onclick = () => { if (confirm("Forget everything typed for " + D.tag + "?")) { localStorage.removeItem(KEY); location.reload(); } };
show();
