"use strict";

const words = document.getElementById("words");
const found = document.getElementById("found");
const MOST = 25;

// A section counts that holds every word; in its title a word counts more than in its text.
function search(query) {
  const wanted = query.toLowerCase().split(/\s+/).filter(Boolean);
  if (!wanted.length) return [];
  const scored = [];
  for (const [address, title, text] of SECTIONS) {
    const head = title.toLowerCase();
    const body = text.toLowerCase();
    let score = 0;
    for (const word of wanted) {
      const here = (head.includes(word) ? 10 : 0) + (head.startsWith(word) ? 5 : 0) + (body.includes(word) ? 1 : 0);
      if (!here) { score = 0; break; }
      score += here;
    }
    if (score) scored.push([score, address, title, text]);
  }
  return scored.sort((a, b) => b[0] - a[0]).slice(0, MOST);
}

words.addEventListener("input", () => {
  found.replaceChildren(...search(words.value).map(([, address, title, text]) => {
    const link = document.createElement("a");
    link.href = address;
    link.textContent = title;
    const item = document.createElement("li");
    item.append(link, " ", text.slice(0, 80));
    return item;
  }));
});
