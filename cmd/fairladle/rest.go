package main

import (
	"context"
	"runtime/debug"
	"time"
)

// rest gives the memory that answers took back to the system when nobody has
// asked for a second: the runtime alone keeps it until it collects by itself,
// which without requests is minutes later.
func (d *drain) rest(ctx context.Context) {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	owed := true // the start took some as well
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		if d.wasUsed() {
			owed = true
		} else if owed {
			debug.FreeOSMemory()
			owed = false
		}
	}
}

// wasUsed says whether there was a request since it was asked the last time.
func (d *drain) wasUsed() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	used := d.used
	d.used = false
	return used
}
