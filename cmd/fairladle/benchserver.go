package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// A child is a server in a process of its own, so that its memory and its
// start can be measured. It is ended by its process id.
type child struct {
	cmd     *exec.Cmd
	address string
}

var listening = regexp.MustCompile(`(?:listening on |http://)([0-9.]+:[0-9]+)`)

// startChild runs this program with args and waits until it says where it
// listens.
func startChild(ctx context.Context, log io.Writer, args ...string) (*child, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, self, args...)
	cmd.Stderr = log
	cmd.Cancel = func() error { return cmd.Process.Signal(syscall.SIGTERM) }
	cmd.WaitDelay = 30 * time.Second
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	in := bufio.NewScanner(out)
	for in.Scan() {
		if m := listening.FindStringSubmatch(in.Text()); m != nil {
			go io.Copy(io.Discard, out) //nolint:errcheck // until the child ends
			return &child{cmd, m[1]}, nil
		}
	}
	return nil, errors.Join(fmt.Errorf("the server did not start: %s", strings.Join(args, " ")), cmd.Wait())
}

func (c *child) stop() error {
	if err := c.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		return err
	}
	return c.cmd.Wait()
}

// memory is what the process holds now, and the most it ever held, in MB
// (Linux, /proc).
func (c *child) memory() (now, most float64) {
	b, err := os.ReadFile("/proc/" + strconv.Itoa(c.cmd.Process.Pid) + "/status")
	if err != nil {
		return 0, 0
	}
	for line := range strings.Lines(string(b)) {
		f := strings.Fields(line)
		if len(f) < 2 {
			continue
		}
		kb, err := strconv.ParseFloat(f[1], 64)
		switch {
		case err != nil:
		case f[0] == "VmRSS:":
			now = kb / 1024
		case f[0] == "VmHWM:":
			most = kb / 1024
		}
	}
	return now, most
}

// serveBare answers every request with the same bytes, by net/http alone.
func serveBare(ctx context.Context, file string, out io.Writer) error {
	b, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	ln, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	fmt.Fprintln(out, "listening on", ln.Addr())
	s := &http.Server{ReadHeaderTimeout: 10 * time.Second, Handler: http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Content-Length", strconv.Itoa(len(b)))
		w.Write(b) //nolint:errcheck // the client is gone
	})}
	context.AfterFunc(ctx, func() { s.Close() }) //nolint:errcheck // it ends
	if err := s.Serve(ln); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
