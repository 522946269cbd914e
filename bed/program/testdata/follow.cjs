// Follows programs by an independent, general-purpose library and prints, for each file, what moves: [motion, from, to, middle of an arc, modal state].
// node follow.cjs MODULE FILE…
const Toolpath = require(process.argv[2]).default ?? require(process.argv[2]);
const all = process.argv.slice(3).map((file) => {
  const moves = [];
  const keep = (modal, from, to, middle) => {
    moves.push({ motion: modal.motion, spindle: modal.spindle, coolant: modal.coolant, tool: modal.tool, wcs: modal.wcs,
      from: [from.x, from.y, from.z], to: [to.x, to.y, to.z], middle: middle ? [middle.x, middle.y] : null });
  };
  new Toolpath({ addLine: keep, addArcCurve: keep }).loadFromFileSync(file);
  return moves;
});
process.stdout.write(JSON.stringify(all));
