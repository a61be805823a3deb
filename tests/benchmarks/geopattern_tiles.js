// Writes out the tiles of the npm package geopattern that tiles.toml names:
//   npm install geopattern && node geopattern_tiles.js DIR/geopattern
// (run where the package was installed; every tile is that generator's answer to its own name.)
const { mkdirSync, writeFileSync } = require("fs");
const { createRequire } = require("module");
const { join } = require("path");

const geopattern = createRequire(join(process.cwd(), "here.js"))("geopattern");
const folder = process.argv[2];
const names = {
  octogons: "buoy", overlappingCircles: "eddy", plusSigns: "hatch", xes: "rigging",
  sineWaves: "swell", hexagons: "barnacle", overlappingRings: "mooring", plaid: "blanket",
  triangles: "pennant", squares: "crate", concentricCircles: "ripple", diamonds: "netting",
  tessellation: "mosaic", nestedSquares: "locker", mosaicSquares: "tilework", chevrons: "bunting",
};
mkdirSync(folder, { recursive: true });
for (const [generator, name] of Object.entries(names)) {
  for (const which of ["a", "b", "c"]) {
    const svg = geopattern.generate(name + which, { generator }).toString();
    writeFileSync(join(folder, `${name}-${which}.svg`), svg);
  }
}
