// Package plate bends a piece of stone: what gravity, loads and supports do to it, and what a glued layer that swells or dries does.
//
// A piece is an outline with cuts, a thickness, elastic constants and layers ([Piece]). On a mesh it becomes a [Plate], factorised
// once; over supports it becomes a [Stand], which keeps the influence of each support, so that other heights or loads cost a
// small problem only; and settles to a [Rest]. [Bend] does all of it on meshes of halved cells until the doubt is small enough,
// and tells the doubt with the answer. Package shape takes gravity off a measured face.
//
// Theory: thin plates after Kirchhoff, small slopes, linear elastic, with one or two moduli in the plane. Bicubic splines
// on a grid (they bend continuously), cut cells integrated over the stone alone. Contact pushes and cannot pull; supports
// that carry are found exactly and the conditions that prove it stand in every result (package contact). Heights are mm, z up,
// forces N, moduli N/mm².
//
// Layers are how a lining is asked about: a [Layer] with Parts, a modulus, a thickness and the strain by which it would grow, glued under
// the stone, bends the piece; [TwoLayer] is the same in closed form for a layer everywhere.
//
// It does not know shear between the faces (a piece of 30 mm on a span of 900 mm yields less than 0.5 % more), creep, large
// deflections, friction, sideways forces, or how stress grows at a sharp corner, and it judges nothing.
package plate
