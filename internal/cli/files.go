package cli

import (
	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/cli/verb"
)

func readFace(s *verb.Session, name string) (*face.Face, error) { return verb.Read(s, name, face.Read) }
func readSpec(s *verb.Session, name string) (bed.Spec, error) {
	return verb.Read(s, name, specfile.Read)
}

func readLayUp(s *verb.Session, name string) (*certificate.LayUp, error) {
	l, err := verb.Read(s, name, certificate.ReadLayUp)
	return &l, err
}

// readText reads a certificate or a key.
func readText(s *verb.Session, name string) ([]byte, error) { return s.Text(name, certificate.MaxSize) }
