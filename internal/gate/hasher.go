package gate

import (
	"context"
	"sync"
	"sync/atomic"

	"slatewright/trouble"
)

// hasher hashes a few secrets at a time, so that many sign-ins at once cannot take all memory.
type hasher struct {
	cost    Cost
	bytes   func(int) ([]byte, error)
	places  chan struct{}
	waiting atomic.Int64
	most    int64
	nobody  func() (hash, error) // the hash of a secret that nobody knows
}

func newHasher(c Cost, atOnce, waiting int, bytes func(int) ([]byte, error)) *hasher {
	h := &hasher{cost: c, bytes: bytes, places: make(chan struct{}, atOnce), most: int64(waiting)}
	h.nobody = sync.OnceValues(func() (hash, error) {
		b, err := bytes(saltSize + hashSize)
		if err != nil {
			return hash{}, err
		}
		return hash{c, b[:saltSize], b[saltSize:]}, nil
	})
	return h
}

func busy() error {
	return trouble.IO("busy", "", "too many people sign in at once", "wait a few seconds and try again")
}

// crowded refuses a try before anything is counted, when one more would be refused anyway.
func (h *hasher) crowded() error {
	if h.waiting.Load() >= h.most {
		return busy()
	}
	return nil
}

// enter waits for a place; leave gives it back.
func (h *hasher) enter(ctx context.Context) (leave func(), err error) {
	defer h.waiting.Add(-1)
	if h.waiting.Add(1) > h.most {
		return nil, busy()
	}
	select {
	case h.places <- struct{}{}:
		return func() { <-h.places }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// make hashes a secret with a new salt.
func (h *hasher) make(ctx context.Context, secret string) (string, error) {
	salt, err := h.bytes(saltSize)
	if err != nil {
		return "", err
	}
	leave, err := h.enter(ctx)
	if err != nil {
		return "", err
	}
	defer leave()
	made := hash{h.cost, salt, make([]byte, hashSize)}
	made.sum = made.of(secret)
	return made.String(), nil
}

// matches compares a secret with a stored hash. Without one it works as long and says no. better is a new hash of the same secret
// when the stored one is cheaper than hashes are now.
func (h *hasher) matches(ctx context.Context, stored, secret string) (ok bool, better string, err error) {
	read := h.nobody
	if stored != "" {
		read = func() (hash, error) { return parseHash(stored) }
	}
	kept, err := read()
	if err != nil {
		return false, "", err
	}
	leave, err := h.enter(ctx)
	if err != nil {
		return false, "", err
	}
	ok = kept.matches(secret) && stored != ""
	leave()
	if ok && kept.less(h.cost) {
		better, _ = h.make(ctx, secret) // if it cannot be now, then at the next sign-in
	}
	return ok, better, nil
}
