package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"time"
)

// healthyCommand asks a server on this machine whether it answers, for a
// container that has no other program to ask with.
func healthyCommand(ctx context.Context, args []string, out io.Writer) error {
	f := flags("healthy", out)
	listen := f.String("listen", env("FAIRLADLE_LISTEN", "127.0.0.1:8080"), "address and port the server listens on (FAIRLADLE_LISTEN)")
	if err := f.Parse(args); err != nil {
		return err
	}
	_, port, err := net.SplitHostPort(*listen)
	if err != nil {
		return fmt.Errorf("--listen: %q is no address with a port", *listen)
	}
	ctx, cancel := context.WithTimeout(ctx, 2*time.Second)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://127.0.0.1:"+port+"/readyz", nil)
	if err != nil {
		return err
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return fmt.Errorf("the server does not answer: %w", err)
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK {
		return fmt.Errorf("the server answers %s", res.Status)
	}
	fmt.Fprintln(out, "healthy")
	return nil
}
