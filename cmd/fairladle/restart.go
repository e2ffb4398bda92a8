package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"time"
)

// A restart without a refused request: on SIGUSR2 the server starts its own
// program again, perhaps a newer one, and hands it the open sockets. Both
// take connections until the new one says that it answers; then the old one
// finishes what it has begun and ends. Only one of them works in the
// background at a time: the new one waits for the old one's end. If the new
// one does not come up, the old one goes on.

// The files that follow standard input, output and error in a new process:
// one to say that it answers, one that ends with the old process, then the
// sockets.
const (
	readyFile  = 3
	beforeFile = 4
	firstFile  = 5
)

const handover = "FAIRLADLE_HANDOVER"

// startWithin is how long a new process may take until it answers.
const startWithin = 30 * time.Second

// restart starts the next process and returns when it answers. What it
// returns must stay open until this process ends.
func restart(ctx context.Context, open sockets) (before io.Closer, err error) {
	if os.Getpid() == 1 {
		return nil, errors.New("this is process 1 of its container, which ends with it; start another container instead")
	}
	program, err := os.Executable()
	if err != nil {
		return nil, err
	}
	program = strings.TrimSuffix(program, " (deleted)") // after an upgrade in place
	readyOut, readyIn, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	defer readyOut.Close()
	beforeOut, beforeIn, err := os.Pipe()
	if err != nil {
		return nil, errors.Join(err, readyIn.Close())
	}
	files, names, err := open.files()
	next := exec.Command(program, os.Args[1:]...) //nolint:gosec // this program, as it was called
	next.Stdout, next.Stderr = os.Stdout, os.Stderr
	next.ExtraFiles = append([]*os.File{readyIn, beforeOut}, files...)
	next.Env = append(without(os.Environ(), inherited, handover, "LISTEN_PID", "LISTEN_FDS"), inherited+"="+names, handover+"=1")
	if err == nil {
		err = next.Start()
	}
	for _, f := range append(files, readyIn, beforeOut) {
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		return nil, errors.Join(err, beforeIn.Close())
	}
	go next.Wait() //nolint:errcheck // it outlives this process; until then its end is noticed below
	if err := answered(ctx, readyOut); err != nil {
		return nil, errors.Join(err, next.Process.Kill(), beforeIn.Close())
	}
	if err := tellSystemd(fmt.Sprintf("MAINPID=%d", next.Process.Pid)); err != nil {
		return beforeIn, nil // systemd notices by itself
	}
	return beforeIn, nil
}

// answered waits until the next process says that it answers.
func answered(ctx context.Context, ready *os.File) error {
	said := make(chan error, 1)
	go func() {
		b := make([]byte, 1)
		_, err := io.ReadFull(ready, b)
		said <- err
	}()
	select {
	case err := <-said:
		if err != nil {
			return errors.New("the new process ended before it answered; its message is above")
		}
		return nil
	case <-time.After(startWithin):
		return fmt.Errorf("the new process did not answer within %v", startWithin)
	case <-ctx.Done():
		return ctx.Err()
	}
}

// files are the sockets as a process can hand them on, with the names by which
// the next one finds them.
func (s sockets) files() (files []*os.File, names string, err error) {
	for name, ln := range s {
		f, err := handOn(ln, name)
		if err != nil {
			return files, "", err
		}
		names += fmt.Sprintf(" %s=%d", name, firstFile+len(files))
		files = append(files, f)
	}
	return files, strings.TrimSpace(names), nil
}

func without(environ []string, names ...string) (left []string) {
	for _, e := range environ {
		keep := true
		for _, n := range names {
			keep = keep && !strings.HasPrefix(e, n+"=")
		}
		if keep {
			left = append(left, e)
		}
	}
	return left
}

// takenOver tells the process before this one that this one answers, and
// returns a channel that closes when the other has ended. Without one before,
// it is closed already.
func takenOver() (alone <-chan struct{}, err error) {
	done := make(chan struct{})
	if os.Getenv(handover) == "" {
		close(done)
		return done, nil
	}
	ready, before := os.NewFile(readyFile, "ready"), os.NewFile(beforeFile, "before")
	if _, err := ready.Write([]byte{1}); err != nil {
		return nil, fmt.Errorf("tell the process before this one: %w", err)
	}
	go func() {
		io.Copy(io.Discard, before) //nolint:errcheck // its end is what counts
		close(done)
	}()
	return done, ready.Close()
}
