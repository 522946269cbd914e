package tongue

import "testing"

// What is said of a drilled bed comes out whole: figures with the language's mark, parts of the bed by their words, names as people gave them.
func TestTheBedInWords(t *testing.T) {
	for _, c := range []struct {
		l             Language
		english, want string
	}{
		{Italian, "at the head piece set the first stop of the fixture back by 1.25 mm (a negative number: further into the stone)",
			"al pezzo testa, arretra il primo riscontro dell'attrezzatura di 1,25 mm (numero negativo: più dentro la pietra)"},
		{Spanish, "turn the drawing by 0.80 mm per m counter-clockwise against the stone; where the instrument lay freely this is only how it lay (# datum: none)",
			"gire el dibujo respecto de la piedra 0,80 mm por m en sentido antihorario; si el instrumento estaba puesto libremente, esto es solo cómo estaba (# datum: none)"},
		{Portuguese, "foot: the whole pattern lies 2.31 mm off its datum, which no deviation shows",
			"foot: o padrão inteiro está a 2,31 mm da sua referência, o que nenhum desvio mostra"},
		{Chinese, "change the scale of axis x by -0.80 mm per m", "请把 x 轴的比例每米改 −0.80 mm"},
		{Portuguese, "1 feature stands in no row of the list, and the verdict says nothing of them: rail-3-2",
			"1 ponto não está em nenhuma linha da lista, e o veredito nada diz dele: rail-3-2"},
		{Italian, "without pocket-left the places of all others conform: it alone drags 4 others beyond what can be shown",
			"senza pocket-left i posti di tutti gli altri sono conformi: esso solo ne trascina altri 4 oltre ciò che si può mostrare"},
		{Spanish, "12 bolts were not measured; those that were pass together", "12 pernos no se midieron; los que se midieron pasan a la vez"},
		{Chinese, "left rail, head half", "左库边靠头端的一半"},
		{Portuguese, "pocket-left: the corner at X12.5 Y-30 is sharper than the thinnest router that reaches, 12 mm; 0.25 mm of stone stay there",
			"pocket-left: o canto em X12,5 Y−30 é mais agudo que a fresa mais fina que o alcança, 12 mm; ali ficam 0,25 mm de pedra"},
		{Portuguese, "no tool makes screw-1h countersink: 22.5 mm across at the face, 90 degrees", "nenhuma ferramenta faz escareado de screw-1h: 22,5 mm de diâmetro na face, 90 graus"},
		{Italian, "7 chamfers at holes", "7 smussi di fori"},
		{Spanish, "feeds at 400 mm/min; the tool may at 250", "avanza a 400 mm/min; la herramienta puede a 250"},
		{Chinese, "Nothing is drilled or cut in centre.", "中段没有要钻或要切的。"},
		{Portuguese, "Nothing is drilled or cut in centre.", "Nada se fura nem se corta na peça centro."},
		{Spanish, "tools[2].tip: the tip is as wide as the tool", "tools[2].tip: la punta es tan ancha como la herramienta"},
		{Italian, "tools[2].reach: 0 is missing, not above zero or above 1000", "tools[2].reach: 0 manca, non è sopra zero o supera 1000"},
		{Italian, "X goes 3.125 mm beyond the travel of the machine, which is 0 to 3000 mm", "X supera di 3,125 mm la corsa della macchina, che va da 0 a 3000 mm"},
	} {
		if got := In(c.l, Metric).InWords(c.english); got != c.want {
			t.Errorf("%s: %q becomes\n%q, want\n%q", c.l, c.english, got, c.want)
		}
	}
}
