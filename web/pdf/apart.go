package pdf

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"runtime"
	"runtime/debug"
	"time"
)

// Command is the argument with which the program serves as the process that
// Apart starts.
const Command = "pdf-text"

// inside marks the environment of that process, so that it starts no other.
const inside = "FAIRLADLE_PDF"

const (
	patience  = 10 * time.Second
	maxMemory = 512 << 20 // bytes the process may use
)

// Apart gives the text of a PDF, read by another process of this program.
// Whatever the file does to it ends with that process.
func Apart(ctx context.Context, data []byte) (string, error) { return apart(ctx, data, patience) }

func apart(ctx context.Context, data []byte, patience time.Duration) (string, error) {
	program, err := os.Executable()
	if err != nil || os.Getenv(inside) != "" {
		return "", errors.Join(err, ErrNoText)
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, Command)
	cmd.Env = []string{inside + "=1"}
	cmd.WaitDelay = time.Second
	cmd.Stdin = bytes.NewReader(data)
	out, err := cmd.Output()
	if err != nil || len(out) == 0 {
		return "", ErrNoText
	}
	return string(out[:min(len(out), MaxText)]), nil
}

// Serve is what the other process does: it reads a PDF and writes its text.
func Serve(in io.Reader, out io.Writer) error {
	debug.SetMemoryLimit(maxMemory / 2)
	go watch()
	data, err := io.ReadAll(io.LimitReader(in, MaxBytes+1))
	if err != nil {
		return err
	}
	text, err := Text(data)
	if err != nil {
		return err
	}
	_, err = io.WriteString(out, text)
	return err
}

// watch ends the process when it needs too much memory.
func watch() {
	var m runtime.MemStats
	for range time.Tick(50 * time.Millisecond) {
		if runtime.ReadMemStats(&m); m.HeapInuse > maxMemory {
			os.Exit(3)
		}
	}
}
