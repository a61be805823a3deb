// The card of one fabric: what it is, and everything that can be set about it.

const WINDOW = [8, 3.6]; // inches of cloth that a card shows, the same scale in every card

class RoleCard {
  /** changed(role, words): draw again and say the words. choose(role, button): open the swatches. */
  constructor(show, role, { changed, choose }) {
    Object.assign(this, { show, role, changed, choose });
    this.id = `role-${show.pattern.roles.indexOf(role)}-${role.name.replace(/[^a-z0-9]/gi, "")}`;
    this.window = shape("svg", { class: "window", role: "img" });
    this.name = el("span", { class: "cloth-name" });
    this.problem = el("p", { class: "problem", role: "alert" });
    this.element = el("fieldset", { class: "role" },
      el("legend", {}, capital(role.name)),
      el("div", {}, this.name, this.window, el("p", { class: "scale-word" }, `${WINDOW[0]}″ across`)),
      el("div", {}, this.sources(), this.settings(), this.problem));
    this.listenForDrops();
    this.refresh();
  }

  sources() {
    const file = el("input", { type: "file", id: `${this.id}-file`, class: "unseen",
      accept: "image/jpeg,image/png,image/webp,image/gif,image/bmp",
      "aria-label": `Photo for ${this.role.name}`,
      on: { change: () => { if (file.files[0]) this.take(file.files[0]); file.value = ""; } } });
    const pick = this.show.data.swatches.length ? el("button", { type: "button",
      "aria-label": `Choose a swatch for ${this.role.name}`,
      on: { click: () => this.choose(this.role, pick) } }, "Swatches …") : null;
    this.back = el("button", { type: "button", "aria-label": `Put ${this.role.name} back as it was`,
      on: { click: () => this.putBack() } }, "Put back");
    return el("div", { class: "row" }, pick, file,
      el("label", { class: "button", for: file.id }, "Photo …"), this.back);
  }

  settings() {
    const { id, role } = this;
    this.width = el("input", { id: `${id}-width`, inputmode: "text", autocomplete: "off", size: 7,
      "aria-describedby": `${id}-other`, on: { change: () => this.setWidth() } });
    this.other = el("span", { id: `${id}-other`, class: "note" });
    this.direction = el("select", { id: `${id}-print`, on: { change: () => this.setDirection() } },
      el("option", { value: "" }, UNDECLARED), DIRECTIONS.map((d) => el("option", { value: d }, d)));
    this.turn = el("input", { type: "range", min: -180, max: 180, step: 1, id: `${id}-turn`,
      on: { input: () => this.setTurn(Number(this.turn.value)), change: () => this.sayTurn() } });
    this.degrees = el("output", { for: `${id}-turn` });
    const quarter = (by, sign, word) => el("button", { type: "button", class: "small",
      "aria-label": `Turn ${role.name} a quarter ${word}`, title: `A quarter ${word}`,
      on: { click: () => { this.setTurn(wrapped(this.set.turn + by)); this.sayTurn(); } } }, sign);
    this.picture = el("div", { class: "settings" },
      el("label", { for: this.width.id }, "Real width"), el("span", {}, this.width, " ", this.other),
      el("label", { for: this.direction.id }, "Print"), this.direction,
      el("label", { for: this.turn.id }, "Turned ", this.degrees),
      el("span", { class: "turn" }, quarter(-90, "↺", "to the left"), this.turn, quarter(90, "↻", "to the right")));
    return this.picture;
  }

  get set() {
    return this.show.roles[this.role.name];
  }

  /** Show what is set. */
  refresh() {
    const { set } = this, look = this.show.look(this.show.pattern, this.role);
    this.name.textContent = look.name;
    drawWindow(this.window, look, ...WINDOW);
    this.window.setAttribute("aria-label", xmlText(`${look.name}, ${WINDOW[0]} by ${WINDOW[1]} inches of it`));
    this.back.hidden = this.show.asMade(this.role.name);
    this.picture.hidden = !(set && set.cloth.picture);
    if (this.picture.hidden) return;
    this.width.value = `${shownInches(set.width, "")} in`;
    this.other.textContent = `= ${shownCm(set.width)}`;
    this.width.removeAttribute("aria-invalid");
    this.direction.value = set.declared ? set.direction : "";
    this.turn.value = set.turn;
    this.degrees.value = `${set.turn}°`;
  }

  say(words) {
    this.problem.textContent = "";
    this.changed(this.role, words);
  }

  refuse(words) {
    this.problem.textContent = words;
  }

  setWidth() {
    const inches = typedLength(this.width.value);
    if (inches === null) {
      this.width.setAttribute("aria-invalid", "true");
      return this.refuse("Not a usable width. Type 12, 12 1/2 in or 30.5 cm (between 1/2 and 200 inches).");
    }
    this.set.width = inches;
    this.say(`${capital(this.role.name)}: the photo is now ${shownInches(inches)} wide.`);
  }

  setDirection() {
    const said = this.direction.value; // "": a print that nobody declared lies as one-way does
    Object.assign(this.set, { direction: said || "one-way", declared: Boolean(said) });
    this.say(`${capital(this.role.name)} is now taken as ${wayWords(this.set)}.`);
  }

  setTurn(degrees) {
    this.set.turn = degrees;
    this.changed(this.role, null);
  }

  sayTurn() {
    this.say(`${capital(this.role.name)} is turned by ${this.set.turn} degrees.`);
  }

  putBack() {
    this.show.reset(this.role.name);
    this.say(`${capital(this.role.name)} is as it was.`);
    this.element.querySelector("button, input").focus();
  }

  /** Another cloth in this role. */
  lay(cloth, words) {
    this.show.roles[this.role.name] = asDelivered(cloth);
    this.say(words);
  }

  async take(file) {
    this.element.setAttribute("aria-busy", "true");
    try {
      const picture = await openPicture(await takePicture(file));
      const width = this.set && this.set.cloth.picture ? this.set.width : 12;
      const name = file.name.replace(/\.[a-z0-9]{1,5}$/i, "").slice(0, 80) || "photo";
      this.lay({ name, picture, colour: null, width, height: (width * picture.h) / picture.w,
        direction: "one-way", declared: false, up: 0, repeat: null, motif: null },
        `${capital(this.role.name)} is now ${name}. Say how wide the photographed piece is. Its print is kept upright until you say what it allows.`);
      this.width.focus();
      this.width.select();
    } catch (problem) {
      if (!(problem instanceof Refusal)) throw problem;
      this.refuse(`${file.name.slice(0, 60)} was not used. ${problem.message}`);
    } finally {
      this.element.removeAttribute("aria-busy");
    }
  }

  listenForDrops() {
    const over = (event) => {
      event.preventDefault();
      this.element.classList.toggle("over", event.type === "dragover");
    };
    for (const what of ["dragover", "dragleave"]) this.element.addEventListener(what, over);
    this.element.addEventListener("drop", (event) => {
      over(event);
      const file = event.dataTransfer.files[0];
      if (file) this.take(file);
      else this.refuse("What was dropped is not a file. Drop a photo from a folder.");
    });
  }
}

/** Degrees between -179 and 180. */
const wrapped = (degrees) => { const d = modulo(degrees, 360); return d > 180 ? d - 360 : d; };
