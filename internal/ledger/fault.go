package ledger

import (
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"

	"slatewright/trouble"
)

// broken marks a panic: our own bug. It ends what was being done, and not the program.
type broken struct{ said any }

func (b broken) Error() string { return fmt.Sprint("panic: ", b.said) }

// recovered turns a panic into an error and notes where it was.
func recovered(log *slog.Logger, doing string, err *error) {
	if said := recover(); said != nil {
		log.Error("our own fault", "doing", doing, "panic", fmt.Sprint(said), "stack", string(debug.Stack()))
		*err = broken{said}
	}
}

// ownFault tells a panic to whoever was being served; another error stays as it is.
func ownFault(err error, where string) error {
	if !errors.As(err, new(broken)) {
		return err
	}
	return trouble.Own("fault", where, "the program has broken down over this; nothing of it was written", "report it with what was sent, and with what the program's log says").Because(err)
}
