// Small parts of the page. Everything that came from outside is put in as text.

/** An HTML element; `on` holds listeners, children are elements or text. */
function el(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "on") for (const [what, act] of Object.entries(value)) element.addEventListener(what, act);
    else if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(key, String(value));
  }
  element.append(...children.flat().filter((c) => c !== null && c !== undefined && c !== ""));
  return element;
}

const byId = (id) => document.getElementById(id);
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const MARKS = { pass: "✓", caution: "!", fail: "✗" };
const OUTCOMES = { pass: "suits", caution: "look again", fail: "does not suit" };

/** The mark of an outcome: a sign, a word for those who do not see it, and only then a colour. */
function mark(outcome, word = outcome) {
  return el("span", { class: `mark ${outcome}` }, el("span", { "aria-hidden": "true" }, MARKS[outcome] || "·"),
    el("span", { class: word === outcome ? "unseen" : "word" }, word));
}

/** Verdicts as a list: mark, rule, sentence. */
function verdictList(rows) {
  return el("ul", { class: "verdicts" }, rows.map(([rule, outcome, sentence]) =>
    el("li", {}, mark(outcome), el("span", {}, el("b", {}, capital(rule)), ": ", sentence))));
}

/** A note that what was judged before is no longer what is shown. */
function changedNote(text) {
  return el("p", { class: "changed" }, text);
}

function table(caption, heads, rows) {
  return el("table", {}, el("caption", { class: "unseen" }, caption),
    el("thead", {}, el("tr", {}, heads.map((h) => el("th", { scope: "col" }, h)))),
    el("tbody", {}, rows.map((row) => el("tr", {}, row.map((cell, i) =>
      i ? el("td", { "data-head": heads[i] }, cell) : el("th", { scope: "row" }, cell))))));
}

/** A colour chip. Styles are set through the object model: the page's policy forbids attributes. */
function chip(hex, width = null) {
  const c = el("span", { class: "chip", "aria-hidden": "true" });
  c.style.background = hex;
  if (width !== null) c.style.width = width;
  return c;
}

/** Fill a section, or hide it when there is nothing to say. */
function fill(id, ...children) {
  const section = byId(id), body = section.querySelector(".body");
  const list = children.flat().filter(Boolean);
  section.hidden = !list.length;
  body.replaceChildren(...list);
}
