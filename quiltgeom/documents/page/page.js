// The page itself: opens the pictures, draws everything, and draws it again after every change.

const SECTIONS = [companionSection, greySection, buySection, cutSection];

class Page {
  constructor(data) {
    this.show = new Show(data);
    this.big = byId("big-picture");
    this.cards = new Map();
    this.waiting = 0;
  }

  async start() {
    const { data } = this.show;
    await Promise.all(data.pictures.map(openPicture));
    this.buildWays();
    this.buildCards();
    this.buildSwatches();
    byId("greys").addEventListener("change", () => {
      this.packed = null;
      this.big.classList.toggle("greys", byId("greys").checked);
    });
    byId("put-back").addEventListener("click", () => this.putBack());
    byId("save").addEventListener("click", () => this.save());
    byId("print-page").addEventListener("click", () => this.print());
    for (const what of ["dragover", "drop"]) { // a photo dropped beside a card must not replace the page
      document.addEventListener(what, (event) => event.preventDefault());
    }
    addEventListener("beforeprint", () => toPaper(this));
    addEventListener("afterprint", fromPaper);
    printSection(this.show);
    careSection(this.show);
    this.refresh();
  }

  say(words) {
    if (words) byId("said").textContent = words;
  }

  /** Draw again: the large picture and its fabrics at once, the rest as soon as there is time.
   * `role`: only its fabric has changed; `cloth`: whether any fabric has, or the pattern alone. */
  refresh({ role = null, cloth = true } = {}) {
    this.packed = null;
    const { show } = this, { pattern } = show, looks = show.looks(pattern);
    drawQuilt(this.big, pattern, looks, { id: "big-quilt" });
    this.big.setAttribute("aria-label", xmlText(this.words(looks)));
    const grey = byId("grey-picture");
    if (grey.getAttribute("viewBox") !== this.big.getAttribute("viewBox") || !grey.firstChild) {
      grey.setAttribute("viewBox", this.big.getAttribute("viewBox"));
      grey.replaceChildren(shape("g", { filter: "url(#greys-filter)" }, ...coverUses("big-quilt")));
    }
    const cards = cloth ? [...this.cards.values()].filter((c) => !role || c.role === role) : [];
    for (const card of cards) card.refresh();
    byId("put-back").hidden = !Object.keys(show.roles).some((r) => !show.asMade(r));
    const ways = cloth ? this.ways : [];
    const steps = ways.map((way) => () =>
      drawQuilt(way.svg, way.pattern, show.looks(way.pattern), { small: true }));
    steps.push(() => this.texts(looks));
    for (const section of SECTIONS) steps.push(() => section(show));
    this.rest(steps);
  }

  /** Do the steps one after the other; a newer change takes their place. Says in the document's
   * root when everything is drawn. */
  async rest(steps) {
    const turn = ++this.waiting, root = document.documentElement;
    root.dataset.state = "drawing";
    this.unfinished = steps.length > SECTIONS.length + 1;
    for (const step of steps) {
      await new Promise((resume) => setTimeout(resume));
      if (turn !== this.waiting) return;
      step();
    }
    this.unfinished = false;
    requestAnimationFrame(() => requestAnimationFrame(() => {
      if (turn === this.waiting) root.dataset.state = "drawn";
    }));
  }

  /** The big picture in words. */
  words(looks) {
    const { pattern } = this.show;
    const used = pattern.roles.map((r) => `${r.name}: ${looks[r.name].name}`).join("; ");
    return `Patchwork quilt ${pattern.name}, ${nearInches(pattern.width)} by ${nearInches(pattern.height)} ` +
      `finished, ${pattern.patches} patches. ${used}.`;
  }

  texts(looks) {
    const { show } = this, { pattern } = show;
    byId("pattern-name").textContent = pattern.name;
    byId("pattern-size").textContent = `${nearInches(pattern.width)} × ${nearInches(pattern.height)} finished, ` +
      `${pattern.patches} patches.`;
    byId("scale-bar").style.width = `${(100 * 12) / pattern.width}%`;
    document.documentElement.style.setProperty("--shape", pattern.width / pattern.height);
    const placed = pattern.final && !show.anyChanged() ? "Every patch shows the place of the cloth from which it will be cut"
      : "Where each patch comes from on the cloth is provisional: the cutting plan decides";
    const notes = [placed, ...pattern.notes, ...pattern.roles.map((r) => beyondNote(r, looks[r.name])).filter(Boolean)];
    byId("picture-notes").replaceChildren(...notes.map((n) => el("li", {}, capital(n))));
    const changed = focusNote(show);
    byId("ways-note").replaceChildren(focusNote(show) || "");
    const hard = pattern.difficulty;
    byId("why-name").textContent = `Why ${pattern.name}`;
    fill("why", changed, el("p", { class: "sum" }, mark(pattern.outcome, OUTCOMES[pattern.outcome]), pattern.summary),
      verdictList(pattern.verdicts),
      hard ? el("p", {}, el("b", {}, "To sew: "), hard[0], hard[1].length ? ` (${hard[1].join("; ")})` : "", ".") : null);
  }

  buildWays() {
    const { show } = this;
    this.ways = show.data.patterns.map((pattern, i) => {
      const svg = shape("svg", { "aria-hidden": "true" });
      const radio = el("input", { type: "radio", name: "pattern", value: pattern.key, checked: i === 0,
        on: { change: () => this.choosePattern(pattern) } });
      const list = el("div", { class: "closed", id: `why-${i}` }, verdictList(pattern.verdicts));
      const more = el("button", { type: "button", class: "link", "aria-expanded": "false", "aria-controls": list.id,
        "aria-label": `Reasons for ${pattern.name}`, on: { click: () => {
          const open = list.classList.toggle("closed");
          more.setAttribute("aria-expanded", String(!open));
        } } }, "Reasons");
      const hard = pattern.difficulty ? ` To sew: ${pattern.difficulty[0]}.` : "";
      const card = el("div", { class: "way" }, el("label", {}, radio, el("span", { class: "frame" }, svg),
        el("span", { class: "way-name" }, `${i + 1}. ${pattern.name}`)),
        el("p", {}, mark(pattern.outcome, OUTCOMES[pattern.outcome]),
          ` ${nearInches(pattern.width)} × ${nearInches(pattern.height)}.${hard}`), more, list);
      return { pattern, svg, radio, card };
    });
    byId("ways").querySelector(".body").replaceChildren(...this.ways.map((w) => w.card));
    byId("ways").hidden = this.ways.length < 2;
  }

  choosePattern(pattern) {
    const before = this.show.pattern.roles.map((r) => r.name).join();
    this.show.pattern = pattern;
    if (pattern.roles.map((r) => r.name).join() !== before) this.buildCards();
    this.refresh({ cloth: this.unfinished });
    this.say(`The large picture is now ${pattern.name}, ${nearInches(pattern.width)} by ${nearInches(pattern.height)}.`);
  }

  buildCards() {
    const { show } = this;
    this.cards = new Map(show.pattern.roles.map((role) => [role.name, new RoleCard(show, role, {
      changed: (which, words) => { this.refresh({ role: which }); this.say(words); },
      choose: (chosen, button) => this.openSwatches(chosen, button),
    })]));
    byId("cards").replaceChildren(...[...this.cards.values()].map((c) => c.element));
  }

  buildSwatches() {
    const { show } = this, dialog = byId("swatches");
    byId("swatch-list").replaceChildren(...show.data.swatches.map((swatch) => {
      const cloth = show.cloths[swatch.cloth];
      const face = cloth.picture ? el("img", { src: cloth.picture.fewSrc, alt: "" }) : chip(cloth.colour);
      const loud = swatch.loudness === null ? "" : `, loudness ${swatch.loudness.toFixed(2)}`;
      const size = cloth.picture ? `${shownInches(cloth.width)} wide, ${wayWords(cloth)}` : "plain colour";
      return el("li", {}, el("button", { type: "button", on: { click: () => {
        const role = dialog.dataset.role;
        dialog.close();
        this.cards.get(role).lay(cloth, `${capital(role)} is now ${cloth.name}.`);
      } } }, face, el("b", {}, cloth.name), el("span", { class: "note" }, size + loud)),
      swatch.reasons.length ? verdictList(swatch.reasons) : null);
    }));
    byId("close-swatches").addEventListener("click", () => dialog.close());
    dialog.addEventListener("close", () => this.opener && this.opener.focus());
  }

  openSwatches(role, button) {
    const dialog = byId("swatches");
    this.opener = button;
    dialog.dataset.role = role.name;
    byId("swatches-title").textContent = `A swatch for ${role.name}`;
    dialog.showModal();
  }

  putBack() {
    this.show.reset();
    this.refresh();
    this.say("Every fabric is as it was.");
    byId("save").focus();
  }

  /** Print with packed pictures; the browser's own print command does without packing. */
  async print() {
    this.packed = this.packed || await packedPapers(this);
    window.print();
  }

  save() {
    const { show } = this, { pattern } = show, looks = show.looks(pattern);
    const text = quiltFile(pattern, looks, `${show.data.title}: ${pattern.name}`, this.words(looks));
    const address = URL.createObjectURL(new Blob([text], { type: "image/svg+xml" }));
    const link = el("a", { href: address, download: `${pattern.key}.svg` });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
    this.say(`The picture is saved as ${pattern.key}.svg, in real inches.`);
  }
}

/** Verdicts speak of the print they were made for: say so when it is no longer the one shown. */
function focusNote(show) {
  if (show.asMade(show.data.mainRole)) return null;
  return changedNote(`Judged for ${show.cloths[show.data.focus].name} as the page was made; your change of the ` +
    "main fabric is in the pictures, not in these verdicts.");
}

/** What to know where patches reach beyond the swatch. */
function beyondNote(role, look) {
  if (!look.cloth || !look.laid.beyond) return "";
  const kinds = new Set(look.laid.places.map((p) => p[0]));
  const how = kinds.has("repeat") ? "there the print goes on by its repeat"
    : "there we guessed the cloth: it will look different";
  return `${capital(role.name)} (${look.name}): ${look.laid.beyond} of ${look.laid.of.length} patches ` +
    `lie partly outside the photo; ${how}.`;
}

new Page(JSON.parse(byId("data").textContent)).start();
