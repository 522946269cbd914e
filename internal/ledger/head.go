package ledger

import (
	"context"
	"database/sql"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// head is the head of a mill's chain.
type head struct {
	seq      int64
	hash     book.Digest
	rebuilds int64
}

func (l *Ledger) head(ctx context.Context) (head, error) { return l.headFrom(ctx, l.read, false) }

// headFrom reads the head and, on PostgreSQL, may keep other programs from moving it until the transaction ends.
func (l *Ledger) headFrom(ctx context.Context, from asker, lock bool) (head, error) {
	text := "select seq, hash, rebuilds from chain where site = $1"
	if lock {
		text += " for update"
	}
	heads, err := collect(ctx, from, func(rows *sql.Rows) (h head, err error) {
		var hash []byte
		err = rows.Scan(&h.seq, &hash, &h.rebuilds)
		copy(h.hash[:], hash)
		return h, err
	}, text, l.number)
	if err != nil {
		return head{}, err
	}
	if len(heads) != 1 {
		return head{}, l.brokenHead()
	}
	return heads[0], nil
}

// checkHead holds the head to the last entry. It is quick, so a book is opened with it. Another program may move the head between the
// two questions; then both are asked again.
func (l *Ledger) checkHead(ctx context.Context) error {
	for {
		h, err := l.head(ctx)
		if err != nil {
			return err
		}
		last, err := collect(ctx, l.read, scanEntryRow, "select "+entryColumns+" from journal j where j.site = $1 order by j.seq desc limit 1", l.number)
		switch {
		case err != nil:
			return err
		case len(last) == 0 && h.seq == 0:
			return nil
		case len(last) > 0 && last[0].seq == h.seq && book.Digest(last[0].hash) == h.hash:
			_, err = last[0].entry(l.Site())
			return err
		}
		if now, err := l.head(ctx); err != nil {
			return err
		} else if now == h {
			return l.brokenHead()
		}
	}
}

func (l *Ledger) brokenHead() *trouble.Trouble {
	return trouble.IO("broken-chain", l.engine.Where(), "the head of the chain does not fit the last entry of the journal",
		"nothing is written until this is put right: restore the newest sound backup with `slatewright restore`")
}
