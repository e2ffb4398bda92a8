package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"fairladle/cmd/fairladle/demo"
	"fairladle/store"
	"fairladle/web"
	"fairladle/web/pdf"
)

// clock tells the time, or a moment in the past while the demonstration's
// history is made.
type clock struct{ set atomic.Int64 } // unix milliseconds; 0: the real time

func (c *clock) now() time.Time {
	if ms := c.set.Load(); ms != 0 {
		return time.UnixMilli(ms)
	}
	return time.Now()
}

func (c *clock) at(t time.Time) { c.set.Store(t.UnixMilli()) }
func (c *clock) real()          { c.set.Store(0) }

func demoCommand(ctx context.Context, args []string, out io.Writer) error {
	f := flags("demo", out)
	listen := f.String("listen", "127.0.0.1:8080", "address and port to listen on; port 0 takes any free one")
	keep := f.String("data", "", "folder to fill and keep; otherwise a temporary one that is removed at the end")
	logs := f.Bool("log", false, "log requests")
	if err := f.Parse(args); err != nil {
		return err
	}
	dir := *keep
	if dir == "" {
		temp, err := os.MkdirTemp("", "fairladle-demo-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(temp)
		dir = temp
	} else if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	c := &clock{}
	db, err := store.Open(ctx, filepath.Join(dir, "fairladle.db"), store.Options{Now: c.now, Random: rand.Reader})
	if err != nil {
		return err
	}
	defer closeDB(db)
	ln, err := (&net.ListenConfig{}).Listen(ctx, "tcp", *listen)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w; try another port with --listen 127.0.0.1:0", *listen, err)
	}
	fmt.Fprintln(out, "Filling the demonstration ...")
	story, err := demo.Load()
	if err != nil {
		return err
	}
	fill := newFilling(db, c, story, "http://"+ln.Addr().String())
	if err := fill.all(ctx); err != nil {
		return fmt.Errorf("fill the demonstration: %w", err)
	}
	c.real()
	fill.tell(out)
	config := web.Config{Log: slog.New(slog.DiscardHandler), PDF: pdf.Apart}
	if *logs {
		config.Log = logger(false)
	}
	return serve(ctx, ln, db, config)
}
