package tongue

import (
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// glossary holds that a word of the trade is called the same wherever it is said: where English has the first, the others have their own.
// A reader who sees two names for one thing looks for two things.
var glossary = []struct {
	english *regexp.Regexp
	others  map[Language]*regexp.Regexp
}{
	term(`\blining`, `forr`, `foder`, `forr`, `衬板`),
	term(`\btwist`, `empen`, `svergol`, `alabe`, `扭曲`),
	term(`\bjoints?\b`, `junta`, `giunt`, `junta`, `接缝`),
	term(`\bquarry`, `pedreira`, `cava`, `canter`, `采石`),
	term(`\bstraightedge`, `régua`, `riga`, `regla`, `平尺`),
	term(`\bcertificate`, `certificad`, `certificat`, `certificad`, `证书`),
	term(`\bslabs?\b`, `chapa`, `lastr`, `losa`, `板`),
	term(`\bpieces?\b`, `peça`, `pezz`, `pieza`, `板|件`),
	term(`\bcracks?\b`, `trinca`, `crep`, `grieta`, `裂`),
	term(`\bbench(es)?([^-a-z]|$)`, `bancada`, `banc`, `banco`, `检测台`),
	term(`\bcalibrat`, `calibr`, `tara`, `calibr`, `校准`),
	term(`\bdiscs?\b`, `disco`, `disc`, `disco`, `盘`),
	term(`\bpassphrase`, `frase secreta`, `frase segreta`, `frase secreta`, `口令`),
	term(`\binstruments?\b`, `instrumento`, `strument`, `instrumento`, `量具`),
	term(`\binspector`, `inspetor`, `ispettor`, `inspector`, `检验员`),
	term(`\bmill\b`, `serraria`, `segheria`, `taller`, `厂`),
	term(`\bslate\b`, `ardósia`, `ardesia`, `pizarra`, `板岩`),
	term(`playing face`, `face de jogo`, `faccia di gioco`, `cara de juego`, `台面`),
}

func term(english, pt, it, es, zh string) struct {
	english *regexp.Regexp
	others  map[Language]*regexp.Regexp
} {
	word := func(w string) *regexp.Regexp { return regexp.MustCompile("(?i)" + w) }
	return struct {
		english *regexp.Regexp
		others  map[Language]*regexp.Regexp
	}{word(english), map[Language]*regexp.Regexp{Portuguese: word(pt), Italian: word(it), Spanish: word(es), Chinese: word(zh)}}
}

// instead lists words that would be right too, and what is said here instead of them.
var instead = map[Language]map[string]string{
	Portuguese: {"pedido": "encomenda", "lançamento": "registro", "câmara": "sala", "usina": "serraria", "senha": "frase secreta", "oficina": "serraria",
		"ligação": "conexão", "parecer": "veredito", "dúvida": "incerteza"},
	Italian: {"segmenti": "settori", "camera": "sala", "terna": "serie", "laboratorio": "segheria", "password": "frase segreta", "scalino": "gradino", "stabilimento": "segheria",
		"giunta": "giunto", "dubbio": "incertezza"},
	Spanish: {"resalte": "escalón", "cámara": "sala", "asiento": "anotación", "fábrica": "taller", "contraseña": "frase secreta", "plancha": "losa",
		"orificio": "agujero", "combine": "empareje", "dictamen": "veredicto", "hueco": "holgura", "duda": "incertidumbre"},
	Chinese: {"台阶": "错台", "陈化": "陈放", "检验台": "检测台", "裂缝": "裂纹", "一套": "一组", "套板": "石板组", "密码": "口令", "矿层": "岩层", "条目": "记录",
		"干拼": "试铺", "直尺": "平尺", "账册": "台账", "账簿": "台账", "翘曲": "扭曲", "配对": "配组", "套组": "石板组", "极限": "限值"},
}

func TestOneThingHasOneName(t *testing.T) {
	for l, c := range all(t) {
		for key, e := range c {
			for _, text := range e {
				for word, better := range instead[l] {
					if speaksOf(text, word) {
						t.Errorf("%s %s: say %q instead of %q: %s", l, key, better, word, text)
					}
				}
			}
		}
	}
}

// speaksOf finds a word where it begins. Chinese has no gaps between its words.
func speaksOf(text, word string) bool {
	text = strings.ToLower(text)
	for start := 0; ; {
		at := strings.Index(text[start:], word)
		if at < 0 {
			return false
		}
		before, _ := utf8.DecodeLastRuneInString(text[:start+at])
		if unicode.Is(unicode.Han, before) || !unicode.IsLetter(before) {
			return true
		}
		start += at + len(word)
	}
}

// saidOtherwise lists where another language does without the word, and why.
var saidOtherwise = map[string]string{}

func TestTheTradesWordsAreKept(t *testing.T) {
	said, used := all(t), map[string]bool{}
	for _, g := range glossary {
		count := 0
		for key, e := range said[English] {
			if !g.english.MatchString(place.ReplaceAllString(e[other], "")) {
				continue
			}
			count++
			for l, word := range g.others {
				name := string(l) + " " + key
				if word.MatchString(said[l][key][other]) {
					continue
				}
				used[name] = true
				if saidOtherwise[name] == "" {
					t.Errorf("%s: %q speaks of %s, and %q does not have %s", name, e[other], g.english, said[l][key][other], word)
				}
			}
		}
		if count == 0 {
			t.Errorf("no text speaks of %s", g.english)
		}
	}
	for name := range saidOtherwise {
		if !used[name] {
			t.Errorf("%s need not be listed", name)
		}
	}
}

func TestSpeaksOfFindsWhereAWordBegins(t *testing.T) {
	for _, c := range []struct {
		text, word string
		speaks     bool
	}{{"A senha", "senha", true}, {"Desenhar", "senha", false}, {"desenhar a senha", "senha", true}, {"Senhas", "senha", true}, {"放直尺", "直尺", true}, {"", "x", false}} {
		if got := speaksOf(c.text, c.word); got != c.speaks {
			t.Errorf("%q speaks of %q: %v", c.text, c.word, got)
		}
	}
}
