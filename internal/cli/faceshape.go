package cli

import (
	"io"

	"slatewright/internal/flat"
)

// printShape writes what is known of the shape.
func printShape(w io.Writer, s flat.Shape) {
	printSigned(w, "bow along", s.BowAlongMM, s.BowAlongSEMM, "crown: high in the middle", "dish: low in the middle")
	printSigned(w, "bow across", s.BowAcrossMM, s.BowAcrossSEMM, "crown: high in the middle", "dish: low in the middle")
	printSigned(w, "twist", s.TwistMM, s.TwistSEMM, "corners +x+y and -x-y high", "corners +x-y and -x+y high")
	printSigned(w, "edge roll-off", s.RollOffMM, s.RollOffSEMM, "the outer readings fall away", "the outer readings rise")
	if s.RemainderMM != nil {
		printLength(w, "remainder", *s.RemainderMM, "peak to valley of what is neither bow nor twist")
	}
}
