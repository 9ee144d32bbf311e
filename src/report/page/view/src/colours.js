// Colour map cividis: even in lightness, and read alike with and without red and green.
// Source: Nunez, Anderton and Renslow, "Optimizing colormaps with consideration for color vision deficiency", PLOS ONE 13(7),
// 2018; every fifteenth entry of its published table, straight lines between.
const TABLE = [
  [0, 34, 78], [0, 45, 104], [22, 55, 112], [46, 65, 109], [63, 76, 108], [78, 86, 108], [92, 97, 110], [105, 107, 113], [118, 118, 118],
  [131, 129, 121], [146, 140, 120], [160, 152, 117], [175, 164, 113], [191, 176, 107], [207, 189, 98], [223, 202, 87], [240, 216, 70], [254, 232, 56],
];

/** Red, green and blue, 0 to 255, at 0 (dark) to 1 (bright). */
export function cividis(at) {
  const place = Math.min(1, Math.max(0, at)) * (TABLE.length - 1);
  const before = Math.min(TABLE.length - 2, Math.floor(place));
  return TABLE[before].map((value, channel) => Math.round(value + (TABLE[before + 1][channel] - value) * (place - before)));
}

/** The same as CSS has it. */
export function css(rgb) {
  return `rgb(${rgb.join(', ')})`;
}
