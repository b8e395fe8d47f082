"use strict";
// The page is whole without this: it only remembers ticks and notes.
for (const article of document.querySelectorAll("article[data-job]")) remember(article);

function remember(article) {
  const name = "leeward " + article.dataset.job;
  const boxes = [...article.querySelectorAll(".steps input")];
  const note = article.querySelector("textarea");
  const kept = read(name);
  if (kept.plan === article.dataset.plan) boxes.forEach((box, i) => (box.checked = kept.ticks[i] === true));
  note.value = kept.note || "";
  const fit = CSS.supports("field-sizing", "content") ? () => {} : () => { note.style.height = "auto"; note.style.height = note.scrollHeight + 4 + "px"; };
  const save = () => write(name, { plan: article.dataset.plan, ticks: boxes.map((box) => box.checked), note: note.value });
  boxes.forEach((box) => box.addEventListener("change", save));
  note.addEventListener("input", () => { fit(); save(); });
  fit();
}

function read(name) {
  try { return JSON.parse(localStorage.getItem(name)) || {}; } catch { return {}; }
}

function write(name, job) {
  try { localStorage.setItem(name, JSON.stringify(job)); } catch { /* a browser may forbid it: ticks then last as long as the page */ }
}
