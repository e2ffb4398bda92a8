package store

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// What can be wrong with the place where everything is kept. Nothing of a unit
// that meets it is kept, and what was acknowledged before stays.
var (
	ErrFull     = errors.New("the disk is full; nothing of this was saved. Make room, and go on")
	ErrReadOnly = errors.New("the data folder cannot be written to; look at its owner and at how its disk is mounted")
	ErrDamaged  = errors.New("the file is damaged or is no database of Fairladle. It was not changed. Keep it, and put a copy in its place: fairladle restore")
	ErrNoFile   = errors.New("the file can neither be opened nor made; look whether its folder is there and may be written to")
)

// troubles are the primary result codes of SQLite behind them.
var troubles = map[int]error{
	lib.SQLITE_FULL: ErrFull, lib.SQLITE_READONLY: ErrReadOnly, lib.SQLITE_CORRUPT: ErrDamaged, lib.SQLITE_NOTADB: ErrDamaged, lib.SQLITE_CANTOPEN: ErrNoFile,
}

// troubled says in words what a result code means, where a person can do
// something about it.
func troubled(err error) error {
	e, ok := errors.AsType[*sqlite.Error](err)
	if !ok {
		return err
	}
	if what, known := troubles[e.Code()&0xff]; known {
		return fmt.Errorf("%w (%w)", what, err)
	}
	return err
}
