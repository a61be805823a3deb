// The random numbers of the library's own previews, so that a cloth lies here as it lies there:
// a 128-bit congruential generator with its xor-shift-rotate output (PCG64), seeded by hashing.

const MASK64 = (1n << 64n) - 1n;
const MASK128 = (1n << 128n) - 1n;
const STEP128 = 0x2360ed051fc65da44385df649fccf645n;

/** Hash some small whole numbers into `count` words of 32 bits (numpy's SeedSequence). */
function seedWords(entropy, count) {
  const pool = [];
  let constant = 0x43b0d7e5;
  const hash = (value) => {
    value = (value ^ constant) >>> 0;
    constant = Math.imul(constant, 0x931e8875) >>> 0;
    value = Math.imul(value, constant) >>> 0;
    return (value ^ (value >>> 16)) >>> 0;
  };
  const mix = (x, y) => {
    const r = (Math.imul(0xca01f9dd, x) - Math.imul(0x4973f715, y)) >>> 0;
    return (r ^ (r >>> 16)) >>> 0;
  };
  for (let i = 0; i < 4; i++) pool.push(hash(entropy[i] || 0));
  for (let from = 0; from < 4; from++) {
    for (let to = 0; to < 4; to++) if (from !== to) pool[to] = mix(pool[to], hash(pool[from]));
  }
  for (let from = 4; from < entropy.length; from++) {
    for (let to = 0; to < 4; to++) pool[to] = mix(pool[to], hash(entropy[from]));
  }
  const words = [];
  constant = 0x8b51f9dd;
  for (let i = 0; i < count; i++) {
    let value = (pool[i % 4] ^ constant) >>> 0;
    constant = Math.imul(constant, 0x58f38ded) >>> 0;
    value = Math.imul(value, constant) >>> 0;
    words.push((value ^ (value >>> 16)) >>> 0);
  }
  return words;
}

/** `count` numbers in [0, 1). */
function randomNumbers(entropy, count) {
  const w = seedWords(entropy, 8).map(BigInt);
  const start = ((w[0] | (w[1] << 32n)) << 64n) | w[2] | (w[3] << 32n);
  const stream = ((w[4] | (w[5] << 32n)) << 64n) | w[6] | (w[7] << 32n);
  const add = ((stream << 1n) | 1n) & MASK128;
  let state = (add + start) & MASK128;
  state = (state * STEP128 + add) & MASK128;
  const out = new Array(count);
  for (let i = 0; i < count; i++) {
    state = (state * STEP128 + add) & MASK128;
    const folded = (state >> 64n) ^ (state & MASK64);
    const turn = state >> 122n;
    const raw = ((folded >> turn) | (folded << ((64n - turn) & 63n))) & MASK64;
    out[i] = Number(raw >> 11n) / 2 ** 53;
  }
  return out;
}
