// What is shown: the pattern, and in every role a cloth as somebody set it.

const DIRECTIONS = ["one-way", "two-way", "four-way", "non-directional"];
const UNDECLARED = "not declared: kept upright to be safe";

/** The direction of a cloth in words; says so where nobody declared it. */
const wayWords = ({ direction, declared }) => (declared ? direction : `${direction} (${UNDECLARED})`);

/** The fabrics and the pattern on show, and what they were when the page was made. */
class Show {
  constructor(data) {
    this.data = data;
    this.cloths = data.cloths.map((c) => ({ ...c, picture: c.picture === null ? null : data.pictures[c.picture] }));
    this.pattern = data.patterns[0];
    this.laid = new Map();
    data.pictures.forEach((p, i) => (p.id = `picture-${i}`));
    for (const pattern of data.patterns) {
      for (const pieces of Object.values(pattern.pieces)) {
        pieces.all = pieces.d.map((d, i) => ({ points: pathPoints(d), lie: pieces.lie[i] }));
      }
    }
    this.reset();
  }

  reset(role = null) {
    if (role) delete this.roles[role];
    else this.roles = {};
    for (const [name, number] of Object.entries(this.data.start)) {
      if (!role || role === name) this.roles[name] = asDelivered(this.cloths[number]);
    }
  }

  /** Whether a role shows what it showed when the page was made. */
  asMade(role) {
    const set = this.roles[role], number = this.data.start[role];
    if (!set || number === undefined) return !set && number === undefined;
    const cloth = this.cloths[number];
    return set.cloth === cloth && set.width === cloth.width && set.turn === 0 &&
      set.direction === cloth.direction && set.declared === cloth.declared;
  }

  anyChanged() {
    return this.pattern.roles.some((r) => !this.asMade(r.name));
  }

  /** How a role is drawn in a pattern: a plain colour, or a cloth with the place of each patch. */
  look(pattern, role) {
    const set = this.roles[role.name];
    if (!set) return { colour: pattern.plain[role.name], name: "plain colour" };
    if (!set.cloth.picture) return { colour: set.cloth.colour, name: set.cloth.name };
    const cloth = effectiveCloth(set);
    const ready = this.asMade(role.name) && pattern.laid[role.name];
    return { cloth, name: cloth.name, laid: ready || this.lay(pattern, role, cloth) };
  }

  looks(pattern) {
    return Object.fromEntries(pattern.roles.map((r) => [r.name, this.look(pattern, r)]));
  }

  lay(pattern, role, cloth) {
    const pieces = pattern.pieces[role.name];
    if (!pieces) return { places: [], of: [], beyond: 0 };
    const key = [pattern.key, role.name, cloth.picture.id, cloth.width, cloth.up, cloth.direction].join("|");
    if (this.laid.has(key)) return this.laid.get(key);
    const laid = layPieces(pieces.all, cloth, { seed: this.data.seed,
      stream: pattern.roles.indexOf(role), fussy: this.data.fussy.includes(role.name) });
    if (this.laid.size > 60) this.laid.clear(); // a free turn passes through many angles
    this.laid.set(key, laid);
    return laid;
  }
}

const asDelivered = (cloth) => ({ cloth, width: cloth.width, turn: 0, direction: cloth.direction,
  declared: cloth.declared });

/** The cloth as it is set: another width scales all that is on it, a turn moves its up. */
function effectiveCloth({ cloth, width, turn, direction }) {
  const k = width / cloth.width;
  return {
    ...cloth, width, direction,
    height: cloth.height * k,
    up: cloth.up - turn,
    repeat: cloth.repeat && [cloth.repeat[0] * k, cloth.repeat[1] * k, cloth.repeat[2]],
    motif: cloth.motif && cloth.motif.map((v) => v * k),
  };
}

const UNITS = { "": 1, in: 1, inch: 1, inches: 1, '"': 1, "″": 1, "”": 1, cm: 1 / 2.54, mm: 1 / 25.4, ft: 12, yd: 36 };
const VULGAR = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };

/** A typed length in inches, or null: `12`, `12 1/2`, `12.5 in`, `30,5 cm`. */
function typedLength(text) {
  const plain = text.trim().toLowerCase().replace(/[½¼¾⅛⅜⅝⅞]/g, (c) => " " + VULGAR[c]).replace(",", ".").trim();
  const match = plain.match(/^(\d+(?:\.\d*)?|\.\d+)?(?:[\s-]*(\d+)\s*\/\s*(\d+))?\s*([a-z]*|["″”])$/) ||
    plain.match(/^()(\d+)\s*\/\s*(\d+)\s*([a-z]*|["″”])$/);
  if (!match || !(match[4] in UNITS) || (!match[1] && !match[2])) return null;
  const value = Number(match[1] || 0) + (match[2] ? Number(match[2]) / Number(match[3]) : 0);
  const inches = value * UNITS[match[4]];
  return Number.isFinite(inches) && inches >= 0.5 && inches <= 200 ? inches : null;
}

/** A finished size to the nearest eighth. */
const nearInches = (value) => shownInches(Math.round(value * 8) / 8);

/** Inches as read off a ruler: eighths as fractions, else decimals. */
function shownInches(value, unit = "″") {
  const eighths = Math.round(value * 8);
  if (Math.abs(eighths / 8 - value) > 0.004) return `${Number(value.toFixed(2))}${unit}`;
  const whole = Math.floor(eighths / 8), rest = eighths % 8;
  if (!rest) return `${whole}${unit}`;
  const top = rest % 4 === 0 ? "1/2" : rest % 2 === 0 ? `${rest / 2}/4` : `${rest}/8`;
  return `${whole ? whole + "\u00a0" : ""}${top}${unit}`;
}

const shownCm = (inches) => `${Number((inches * 2.54).toFixed(1))} cm`;
