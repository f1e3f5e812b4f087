"use strict";
(() => {
  document.documentElement.classList.add("live");
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button.copy");
    if (!button) return;
    const code = button.parentElement.querySelector("code");
    const told = (word) => {
      button.textContent = word;
      setTimeout(() => (button.textContent = "Copy"), 2000);
    };
    const selected = () => {
      getSelection().selectAllChildren(code);
      told(document.execCommand("copy") ? "Copied" : "Press Ctrl+C");
    };
    if (navigator.clipboard) navigator.clipboard.writeText(code.textContent).then(() => told("Copied"), selected);
    else selected();
  });
})();
(() => {
  const find = (id) => document.getElementById(id);
  const form = find("filter");
  if (!form) return;
  const rows = [...document.querySelectorAll("#findings tr[data-severity]")].map((row) => ({
    row,
    keys: row.dataset,
    tags: (row.dataset.tags || row.cells[1].textContent).toLowerCase().split("\n"),
  }));
  const gauges = [...document.querySelectorAll(".gauge")];
  const shown = find("shown");
  const choices = ["rule", "area", "status", "book"].filter((name) => form.elements[name]);

  const apply = () => {
    const severities = new Set([...form.querySelectorAll("[name=severity]:checked")].map((box) => box.value));
    const words = form.elements.tag.value.toLowerCase().split(/\s+/).filter(Boolean);
    const wanted = choices.map((name) => [name, form.elements[name].value]).filter(([, value]) => value !== "");
    const open = new Set();
    let count = 0;
    for (const { row, keys, tags } of rows) {
      const named = tags.filter((tag) => words.every((word) => tag.includes(word))).length;
      const show =
        severities.has(keys.severity) &&
        wanted.every(([name, value]) => keys[name] === value) &&
        named > 0;
      row.hidden = !show;
      if (show) {
        count += named;
        if (keys.gauge) open.add(keys.gauge);
      }
    }
    for (const group of document.querySelectorAll("#findings > tbody"))
      group.hidden = !group.querySelector("tr[data-severity]:not([hidden])");
    for (const gauge of gauges) gauge.hidden = !open.has(gauge.id);
    const all = rows.reduce((sum, { tags }) => sum + tags.length, 0);
    const total = all.toLocaleString("en");
    shown.textContent =
      count === all ? `All ${total} findings` : `${count.toLocaleString("en")} of ${total} findings`;
  };

  form.addEventListener("input", apply);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(apply));
  form.elements.tag.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      form.elements.tag.value = "";
      apply();
    }
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button.rule");
    if (!button) return;
    form.reset();
    form.elements.rule.value = button.dataset.rule;
    setTimeout(() => {
      apply();
      find("list").scrollIntoView();
      find("list").focus({ preventScroll: true });
    });
  });
  apply();
})();
