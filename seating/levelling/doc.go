// Package levelling lays three pieces that bend on the shims and screws of a frame, so that the bed is as flat as they can make it.
//
// Each piece is a Sheet: how far every place of it rises for a force at every support, and how far its own weight makes it sag, as
// package plate computes it. The unknowns are the forces of the supports, which cannot pull (screws can, up to a limit), and a height and
// two tilts of each piece; equilibrium takes three forces of each away. The heights of the face are linear in them, so the smallest t for
// which lengthwise, across, zone and steps all keep within t times their limits is one small linear program (package lowlp),
// with a proof: no heights of shims do better. The heights that the supports then must have are the shims.
//
// Of the beds that are equally good the one is taken whose forces are nearest to those of a flat piece on a true frame: stone is not
// forced for nothing. Shims are then rounded to packs that exist, the contact of every piece is found anew (a support may be left),
// and packs are exchanged one, one row, and one piece at a time while that makes the bed better. The linear program stays the
// bound for it.
//
// It knows no doubt of the readings and judges nothing. Pieces touch each other nowhere: dowels and filled joints are left out.
package levelling
