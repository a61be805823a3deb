// The sections below the picture: the print, the companions, greys, cloth to buy, where to cut.

const signed = (n) => `${Math.round(n)}`;

function printSection(show) {
  const { reading, focus } = show.data;
  if (!reading) return fill("print");
  const cloth = show.cloths[focus];
  const words = el("dl", { class: "facts" }, reading.facts.map(([head, body]) =>
    el("div", {}, el("dt", {}, head), el("dd", {}, body))));
  fill("print", el("div", { class: "read" },
    el("figure", {}, markedPrint(cloth, reading), el("figcaption", {}, markWords(cloth, reading))),
    el("div", {}, words, palette(reading.palette), valueStrip(reading.value),
      reading.notes.map((n) => el("p", { class: "note" }, n)))),
  reading.question && printQuestion(cloth, reading.question));
}

/** What only the owner of the print can say, beside two pictures of it. */
function printQuestion(cloth, question) {
  const views = question.views.map(([x, y, side, turn, words]) => {
    const s = side * MILS, w = cloth.width * MILS, h = cloth.height * MILS;
    const svg = shape("svg", { viewBox: `0 0 ${short(s)} ${short(s)}`, role: "img", class: "marked",
      "aria-label": xmlText(`The print ${cloth.name}, ${words}.`) });
    if (cloth.picture) {
      const tile = tileOf(cloth, "plain", false), middle = short(s / 2);
      svg.append(shape("use", { href: sharedPicture(cloth, tile),
        transform: `translate(${middle} ${middle}) rotate(${short(turn)}) ` +
          `translate(${short(-(x * MILS + s / 2))} ${short(-(y * MILS + s / 2))}) ` +
          `scale(${short(w / tile.w)} ${short(h / tile.h)})` }));
    }
    return el("figure", {}, svg, el("figcaption", {}, capital(words)));
  });
  return el("div", { class: "question" }, el("h3", {}, question.text), el("div", { class: "views" }, views),
    el("ul", {}, question.answers.map(([words, option]) =>
      el("li", {}, el("b", {}, words), ": the maker says ", el("code", {}, option)))),
    el("p", { class: "note" }, `Until you say, ${question.unanswered}.`));
}

function markWords(cloth, reading) {
  const parts = [`${cloth.name}, ${shownInches(cloth.width)} wide in the picture.`];
  if (reading.cell.length) parts.push("The red frame is one repeat.");
  if (reading.up !== null) parts.push("The arrow shows the print's up.");
  if (reading.boxes.length) parts.push("Blue frames: motifs found.");
  return parts.join(" ");
}

/** The swatch with one repeat, its up and its motifs. */
function markedPrint(cloth, reading) {
  const w = cloth.width * MILS, h = cloth.height * MILS, line = w / 240;
  const svg = shape("svg", { viewBox: `0 0 ${short(w)} ${short(h)}`, role: "img", class: "marked",
    "aria-label": xmlText(`The print ${cloth.name}. ${reading.facts.map((f) => f.join(": ")).join("; ")}.`) });
  if (cloth.picture) {
    const tile = tileOf(cloth, "plain", false);
    svg.append(shape("use", { href: sharedPicture(cloth, tile),
      transform: `scale(${short(w / tile.w)} ${short(h / tile.h)})` }));
  } else svg.append(shape("rect", { width: w, height: h, fill: cloth.colour }));
  const outline = (points, colour, width) => {
    const at = points.map(([x, y]) => `${short(x * MILS)},${short(y * MILS)}`).join(" ");
    for (const [stroke, k] of [["#ffffff", 2.2], [colour, 1]]) {
      svg.append(shape("polygon", { points: at, fill: "none", stroke, "stroke-width": short(line * width * k),
        "stroke-linejoin": "round" }));
    }
  };
  for (const [x, y, bw, bh] of reading.boxes) {
    outline([[x, y], [x + bw, y], [x + bw, y + bh], [x, y + bh]], "#0b62c4", 0.5);
  }
  if (reading.cell.length) outline(reading.cell, "#d3271c", 1.2);
  if (reading.up !== null) {
    const r = w * 0.055;
    svg.append(shape("path", { d: "M0 -1L.6 -.2L.22 -.2L.22 1L-.22 1L-.22 -.2L-.6 -.2Z", fill: "#d3271c",
      stroke: "#ffffff", "stroke-width": 0.12,
      transform: `translate(${short(w - 1.5 * r)} ${short(1.5 * r)}) scale(${short(r)}) rotate(${short(reading.up)})` }));
  }
  return svg;
}

function palette(colours) {
  const bar = el("div", { class: "bar", "aria-hidden": "true" }, colours.map((c) => chip(c.hex, `${100 * c.share}%`)));
  return el("div", { class: "palette" }, el("h3", {}, "Its colours"), bar,
    el("ul", {}, colours.map((c) => el("li", {}, chip(c.hex), `${Math.round(c.share * 100)} % ${c.name}`))));
}

/** The print's light on the scale of greys from black to white. */
function valueStrip(value) {
  const greys = el("div", { class: "bar", "aria-hidden": "true" }, value.greys.map((g) => chip(g, "5%")));
  const at = (v) => `${Math.max(0, Math.min(10, v)) * 10}%`;
  const range = el("span", { class: "range" }), mean = el("span", { class: "mean" });
  range.style.left = at(value.low);
  range.style.width = `${(value.high - value.low) * 10}%`;
  mean.style.left = at(value.mean);
  return el("div", { class: "value" }, el("h3", {}, "How light it is"), greys,
    el("div", { class: "scale", "aria-hidden": "true" }, range, mean),
    el("p", {}, `${capital(value.name)}: ${value.mean.toFixed(1)} of 10; most of it lies between ` +
      `${value.low.toFixed(1)} and ${value.high.toFixed(1)}.`));
}

function companionSection(show) {
  const { companions } = show.data;
  const cards = show.pattern.roles.filter((r) => companions[r.name]).map((role) => {
    const look = show.look(show.pattern, role), name = show.asMade(role.name) ? look.name : null;
    const swatch = show.data.swatches.find((s) => show.roles[role.name] && show.cloths[s.cloth] === show.roles[role.name].cloth);
    const reasons = name ? companions[role.name] : swatch ? swatch.reasons : [];
    const window = shape("svg", { role: "img", "aria-label": xmlText(`${role.name}: ${look.name}`), class: "window" });
    drawWindow(window, look, 6, 4);
    return el("article", { class: "card" }, window, el("h3", {}, `${capital(role.name)}: ${look.name}`),
      reasons.length ? verdictList(reasons) : el("p", { class: "note" }, "You chose this one: it was not judged."));
  });
  fill("companions", cards.length ? focusNote(show) : null, cards.length ? el("div", { class: "cards two" }, cards) : null);
}

function greySection(show) {
  const rows = show.pattern.roles.map((role) => {
    const look = show.look(show.pattern, role);
    return [role.name, look.name, look.cloth ? look.cloth.picture.lightness : colourLightness(look.colour)];
  }).sort((a, b) => b[2] - a[2]);
  const list = el("ul", { class: "lights" }, rows.map(([role, name, light]) => {
    const bar = el("span", { class: "light", "aria-hidden": "true" }, el("i"));
    bar.firstChild.style.left = `${light}%`;
    return el("li", {}, el("b", {}, capital(role)), ` ${name}: ${signed(light)} of 100`, bar);
  }));
  const gaps = rows.slice(1).map((row, i) =>
    `${rows[i][0]} and ${row[0]} are ${signed(rows[i][2] - row[2])} apart`);
  const judged = show.data.separation.length && !show.anyChanged();
  byId("grey-words").replaceChildren(
    el("p", {}, "Where two fabrics are equally light, the eye loses the seam between them, whatever their " +
      "colours. This is the quilt in greys of exactly the same lightness."),
    list, el("p", {}, `On this scale of lightness ${gaps.join("; ")}.`),
    judged ? verdictList(show.data.separation) : "",
    el("p", { class: "note" }, "How it is made: the light of the three screen colours is added up by the weights of " +
      "Rec. 709 (0.2126, 0.7152, 0.0722) in linear light, so that every grey keeps the luminance, and with it " +
      "the CIE lightness, of the colour it stands for."));
}

function buySection(show) {
  const { plan } = show.pattern;
  if (!plan) return fill("buy");
  const rows = plan.fabrics.map((f) => [
    capital(f.role), f.name, f.buy, f.length, f.width, f.why]);
  fill("buy",
    show.anyChanged() ? changedNote("Worked out for the fabrics as the page was made, not for your changes.") : null,
    table("Cloth to buy", ["For", "Fabric", "Buy", "Pieces take", "Cloth width", "How good the plan is"], rows),
    el("ul", { class: "plain" }, plan.extra.map((line) => el("li", {}, line))));
}

function cutSection(show) {
  const { plan } = show.pattern;
  if (!plan) return fill("cut");
  const sheets = plan.fabrics.map((f) => {
    const look = show.look(show.pattern, show.pattern.roles.find((r) => r.name === f.role));
    return el("article", { class: "sheet" },
      el("h3", {}, `${capital(f.role)}: ${f.name}`),
      el("p", { class: "note" }, `${f.width} across, selvage to selvage; ${f.why}.`),
      el("div", { class: "cloths" }, f.sheets.map((sheet) => cutDiagram(f, sheet, show.asMade(f.role) ? look : null))),
      table(`Pieces of ${f.role}`, ["Piece", "Cut", "Size, across × along", "How"],
        f.lines.map(([letter, count, size, how]) => [letter, count, size, how])));
  });
  fill("cut",
    show.anyChanged() ? changedNote("These plans are for the fabrics as the page was made.") : null,
    el("p", {}, `${plan.rules} Broken lines are cuts on the diagonal.`),
    plan.sets.map((line) => el("p", {}, line)),
    el("div", { class: "sheets" }, sheets));
}

/** Where the pieces lie on the cloth, to scale, print up. */
function cutDiagram(f, sheet, look) {
  const w = sheet.across * MILS, h = sheet.along * MILS;
  const svg = shape("svg", { viewBox: `0 0 ${short(w)} ${short(h)}`, role: "img", class: "diagram",
    "aria-label": xmlText(`Cutting diagram of ${f.name}: ${sheet.pieces.length} pieces on cloth ${shownInches(sheet.across)} wide.`) });
  const defs = shape("defs");
  let ground = "#ffffff";
  if (look && look.cloth) {
    const [a, b, c, d] = turnMatrix(-look.cloth.up);
    ground = `url(#${new Cloths(defs, true).pattern(look.cloth, [goesOn(look.cloth, true), a, b, c, d, 0, 0])})`;
  } else if (look) ground = look.colour;
  // paled by white on top: paling the cloth itself would make printers draw it as pixels
  svg.append(defs, shape("rect", { width: w, height: h, fill: ground }),
    shape("rect", { width: w, height: h, fill: "#ffffff", "fill-opacity": 0.3 }));
  const line = { fill: "none", stroke: "#1d2730", "stroke-width": 90 };
  for (const [x, y, pw, ph, k, diagonals] of sheet.pieces) {
    const [x0, y0, x1, y1] = [x, y, x + pw, y + ph].map((v) => short(v * MILS));
    let cuts = "";
    if (diagonals & 1) cuts += `M${x0} ${y0}L${x1} ${y1}`;
    if (diagonals & 2) cuts += `M${x1} ${y0}L${x0} ${y1}`;
    svg.append(shape("rect", { x: x0, y: y0, width: short(pw * MILS), height: short(ph * MILS), ...line }));
    if (cuts) svg.append(shape("path", { d: cuts, ...line, "stroke-width": 60, "stroke-dasharray": "300 250" }));
    const size = Math.min(1.7, ph * 0.72, pw * 0.5) * MILS;
    if (size < 500) continue;
    const at = { x: short((x + pw / 2) * MILS), y: short((y + ph / 2) * MILS + size * 0.35) };
    svg.append(shape("text", { ...at, "font-size": short(size), "text-anchor": "middle", fill: "#14202a",
      stroke: "#ffffff", "stroke-width": short(size * 0.28), "stroke-linejoin": "round",
      "paint-order": "stroke" }, f.lines[k][0]));
  }
  svg.append(shape("rect", { width: w, height: h, ...line, "stroke-width": 160 }));
  return svg;
}

function careSection(show) {
  const { cautions } = show.data;
  fill("care", cautions.length ? el("ul", { class: "plain" }, cautions.map((c) => el("li", {}, c))) : null);
}
