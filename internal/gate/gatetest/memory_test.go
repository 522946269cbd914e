package gatetest_test

import (
	"testing"

	"slatewright/internal/gate"
	"slatewright/internal/gate/gatetest"
)

func TestMemory(t *testing.T) {
	gatetest.Exercise(t, func(*testing.T) func() gate.Store {
		m := &gatetest.Memory{}
		return func() gate.Store { return m }
	})
}
