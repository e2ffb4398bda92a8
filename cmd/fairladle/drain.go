package main

import (
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"
)

// A drain lets a server end without dropping a request that somebody has begun
// to send. [http.Server.Shutdown] alone drops what was accepted but not read
// yet: so first nothing more is accepted, then what was accepted is answered,
// and only then the server is shut down.
type drain struct {
	closing atomic.Bool

	mu   sync.Mutex
	busy map[net.Conn]time.Time // connections with a request, or before their first one, and since when
	used bool                   // since it was asked for the last time
}

// silent is how long a fresh connection may stay without a request while it is
// waited for.
const silent = 2 * time.Second

// note follows a connection's states; it is a server's ConnState.
func (d *drain) note(c net.Conn, s http.ConnState) {
	d.mu.Lock()
	defer d.mu.Unlock()
	switch s {
	case http.StateNew:
		d.busy[c] = time.Now()
	case http.StateActive:
		d.busy[c], d.used = time.Time{}, true
	default:
		delete(d.busy, c)
	}
}

func (d *drain) quiet() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, since := range d.busy {
		if since.IsZero() || time.Since(since) < silent {
			return false
		}
	}
	return true
}

// lastly asks clients, while the server ends, to come back on another
// connection: that one is the next process's.
func (d *drain) lastly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if d.closing.Load() {
			w.Header().Set("Connection", "close")
		}
		next.ServeHTTP(w, r)
	})
}

// wait returns when nothing is under way and kept connections had their time
// to be used once more, or when there is no more time.
func (d *drain) wait(atLeast, atMost time.Duration) {
	began := time.Now()
	for time.Since(began) < atMost && (time.Since(began) < atLeast || !d.quiet()) {
		time.Sleep(5 * time.Millisecond)
	}
}
