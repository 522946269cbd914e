package shell

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/synctest"
	"time"

	"slatewright/internal/web/problem"
)

// So many are let in; the next waits until one is done, and no longer than its patience, or than anybody waits for it.
func TestATurn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		turn, began := NewTurn(2), time.Now()
		v := &Visit{R: httptest.NewRequest(http.MethodGet, "/", nil)}
		first, err := turn.Wait(t.Context(), v)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := turn.Wait(t.Context(), v); err != nil || time.Since(began) != 0 {
			t.Fatalf("%v after %v", err, time.Since(began))
		}
		var busy *problem.Problem
		if _, err := turn.Wait(t.Context(), v); !errors.As(err, &busy) || busy.Code != "busy" || time.Since(began) != patience {
			t.Errorf("%v after %v", err, time.Since(began))
		}
		short, stop := context.WithTimeout(t.Context(), time.Second)
		defer stop()
		if _, err := turn.Wait(short, v); !errors.As(err, &busy) || time.Since(began) != patience+time.Second {
			t.Errorf("%v after %v", err, time.Since(began))
		}
		gone, leave := context.WithCancel(t.Context())
		leave()
		if _, err := turn.Wait(t.Context(), &Visit{R: v.R.WithContext(gone)}); !errors.Is(err, context.Canceled) {
			t.Errorf("%v", err)
		}
		go func() {
			time.Sleep(time.Second)
			first()
		}()
		if _, err := turn.Wait(t.Context(), v); err != nil || time.Since(began) != patience+2*time.Second {
			t.Errorf("%v after %v", err, time.Since(began))
		}
	})
}
