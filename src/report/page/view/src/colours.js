// Colour map cividis: even in lightness, and read alike with and without red and green.
// Source: Nunez, Anderton and Renslow, "Optimizing colormaps with consideration for color vision deficiency", PLOS ONE 13(7),
// 2018; every fifteenth entry of its published table, straight lines between.
const TABLE = [
  [0, 34, 78], [0, 45, 104], [22, 55, 112], [46, 65, 109], [63, 76, 108], [78, 86, 108], [92, 97, 110], [105, 107, 113], [118, 118, 118],
  [131, 129, 121], [146, 140, 120], [160, 152, 117], [175, 164, 113], [191, 176, 107], [207, 189, 98], [223, 202, 87], [240, 216, 70], [254, 232, 56],
];

// Colour map PuOr: from orange over white to purple, told apart with and without red and green.
// Source: Harrower and Brewer, "ColorBrewer.org: an online tool for selecting colour schemes for maps", The Cartographic
// Journal 40(1), 2003; its table of eleven classes, straight lines between.
const DIVERGING = [
  [127, 59, 8], [179, 88, 6], [224, 130, 20], [253, 184, 99], [254, 224, 182], [247, 247, 247], [216, 218, 235], [178, 171, 210], [128, 115, 172],
  [84, 39, 136], [45, 0, 75],
];

/** Red, green and blue, 0 to 255, at 0 (dark) to 1 (bright). */
export function cividis(at) {
  return between(TABLE, at);
}

/** Red, green and blue, 0 to 255, at 0 (orange) over 0.5 (white) to 1 (purple). */
export function diverging(at) {
  return between(DIVERGING, at);
}

function between(table, at) {
  const place = Math.min(1, Math.max(0, at)) * (table.length - 1);
  const before = Math.min(table.length - 2, Math.floor(place));
  return table[before].map((value, channel) => Math.round(value + (table[before + 1][channel] - value) * (place - before)));
}

/** The same as CSS has it. */
export function css(rgb) {
  return `rgb(${rgb.join(', ')})`;
}
