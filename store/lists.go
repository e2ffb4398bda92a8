package store

import (
	"database/sql"
	"encoding/json"
	"slices"
	"sync"

	"fairladle/challenge/draw"
)

// lists keeps the newest lists that pages asked for, worked out: a large one
// takes a second to read and hash, and none ever changes. What names a list
// (the plan that holds its root) is the key, so that nothing has to be dropped.
type lists struct {
	lock sync.Mutex
	held []heldList // the one asked for last comes last
}

type heldList struct {
	key  string
	list *draw.List
}

// mostHeldLines bounds what is held: a line takes about 110 bytes.
const mostHeldLines = 2 * draw.MaxEntries

func (x *lists) get(key string) (*draw.List, bool) {
	x.lock.Lock()
	defer x.lock.Unlock()
	i := slices.IndexFunc(x.held, func(h heldList) bool { return h.key == key })
	if i < 0 {
		return nil, false
	}
	h := x.held[i]
	x.held = append(slices.Delete(x.held, i, i+1), h)
	return h.list, true
}

func (x *lists) put(key string, l *draw.List) {
	x.lock.Lock()
	defer x.lock.Unlock()
	x.held = append(x.held, heldList{key, l})
	lines := 0
	for i := len(x.held) - 1; i >= 0; i-- {
		if lines += len(x.held[i].list.Roster()); lines > mostHeldLines && i < len(x.held)-1 {
			x.held = slices.Delete(x.held, 0, i+1)
			return
		}
	}
}

// of returns the list under a key, or works it out from what read returns.
func (x *lists) of(key string, read func() (draw.Roster, error)) (*draw.List, error) {
	if l, ok := x.get(key); ok {
		return l, nil
	}
	r, err := read()
	if err != nil {
		return nil, err
	}
	l := x.same(draw.NewList(r))
	x.put(key, l)
	return l, nil
}

// same returns a held list that is the same as l, line for line: a draw is
// often among all the entries that stood on the list when they closed.
func (x *lists) same(l *draw.List) *draw.List {
	x.lock.Lock()
	defer x.lock.Unlock()
	for _, h := range x.held {
		if h.list.Extent() == l.Extent() {
			return h.list
		}
	}
	return l
}

func rosterFromJSON(b []byte) (r draw.Roster, err error) { return r, json.Unmarshal(b, &r) }

// A lister is a querier of a database that holds worked out lists.
type lister interface{ worked() *lists }

// worked are the lists that may be shared with whoever asks through q.
func worked(q querier) *lists {
	if l, ok := q.(lister); ok {
		return l.worked()
	}
	return &lists{}
}

func (tx *Tx) worked() *lists { return tx.lists }

// A snapshot is one reading of the database.
type snapshot struct {
	*sql.Tx
	lists *lists
}

func (s snapshot) worked() *lists { return s.lists }
