package main

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"

	"slatewright/face"
	"slatewright/flatness"
)

// writeColumns writes x, then y, then z as raw little-endian doubles.
func writeColumns(file string, p flatness.Points) error {
	data := make([]byte, 0, 24*p.Len())
	for _, column := range [][]float64{p.X, p.Y, p.Z} {
		for _, v := range column {
			data = binary.LittleEndian.AppendUint64(data, math.Float64bits(v))
		}
	}
	return os.WriteFile(file, data, 0o666)
}

// rounded is the points as an instrument gives them: places to 0.1 mm, heights to 1 µm.
func rounded(p flatness.Points) *face.Face {
	f := &face.Face{X: make([]float64, p.Len()), Y: make([]float64, p.Len()), Z: make([]float64, p.Len())}
	for i := range p.X {
		f.X[i], f.Y[i], f.Z[i] = math.Round(p.X[i]*10)/10, math.Round(p.Y[i]*10)/10, math.Round(p.Z[i]*1000)/1000
	}
	return f
}

// readBench measures reading CSV and binary PLY from memory, against the standard library's CSV and binary readers.
func readBench(string, string) ([]goal, error) {
	f := rounded(scan(2e6, 3))
	var text, binaryPLY bytes.Buffer
	if err := f.WriteCSV(&text); err != nil {
		return nil, err
	}
	if err := f.WritePLY(&binaryPLY, face.BinaryLittleEndian); err != nil {
		return nil, err
	}
	body := binaryPLY.Bytes()[binaryPLY.Len()-24*f.Len():]
	return []goal{
		{"reading CSV, 2e+06 points", reads(text.Bytes(), f), side{"encoding/csv", func() error { return plainCSV(text.Bytes()) }},
			3, rate(text.Len(), 150)},
		{"reading binary PLY, 2e+06 points", reads(binaryPLY.Bytes(), f), side{"encoding/binary", func() error { return plainBinary(body) }},
			7, rate(binaryPLY.Len(), 800)},
	}, nil
}

func reads(data []byte, want *face.Face) side {
	return side{"face", func() error {
		got, err := face.Read("memory", bytes.NewReader(data))
		if err == nil && (got.Len() != want.Len() || got.Z[got.Len()-1] != want.Z[want.Len()-1]) {
			err = fmt.Errorf("%d readings came back as %d", want.Len(), got.Len())
		}
		return err
	}}
}

// plainCSV is what a programmer would write in a minute.
func plainCSV(data []byte) error {
	r := csv.NewReader(bytes.NewReader(data))
	r.Comment, r.ReuseRecord = '#', true
	var x, y, z []float64
	for {
		fields, err := r.Read()
		if err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
		if fields[0] == "x" {
			continue
		}
		for i, column := range []*[]float64{&x, &y, &z} {
			v, err := strconv.ParseFloat(fields[i], 64)
			if err != nil {
				return err
			}
			*column = append(*column, v)
		}
	}
}

// plainBinary reads the same doubles without a format around them.
func plainBinary(body []byte) error {
	points := make([][3]float64, len(body)/24)
	_, err := binary.Decode(body, binary.LittleEndian, points)
	return err
}
