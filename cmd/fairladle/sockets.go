package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"strconv"
	"strings"
)

// inherited names the sockets a process takes over from the one before it, as
// in "listen=3 status=4": see restart. LISTEN_FDS is how systemd hands over
// the first (sd_listen_fds(3)).
const inherited = "FAIRLADLE_SOCKETS"

// sockets are the places a server listens at, by the name of their flag.
type sockets map[string]*net.TCPListener

// listen takes a socket over, or opens it.
func (s sockets) listen(ctx context.Context, name, address string) (net.Listener, error) {
	if address == "" {
		return nil, nil
	}
	fd, err := inheritedSocket(name)
	if err != nil {
		return nil, err
	}
	var ln net.Listener
	if fd > 0 {
		f := os.NewFile(uintptr(fd), name)
		ln, err = net.FileListener(f)
		err = errors.Join(err, f.Close())
	} else {
		ln, err = (&net.ListenConfig{}).Listen(ctx, "tcp", address)
	}
	if err != nil {
		return nil, fmt.Errorf("cannot listen on %s: %w; is another server running there?", address, err)
	}
	tcp, ok := ln.(*net.TCPListener)
	if !ok {
		return nil, fmt.Errorf("--%s: what was handed over is no TCP socket", name)
	}
	s[name] = tcp
	return tcp, nil
}

// inheritedSocket is the number of a socket that was handed over, 0 for none.
func inheritedSocket(name string) (int, error) {
	for _, pair := range strings.Fields(os.Getenv(inherited)) {
		if n, fd, _ := strings.Cut(pair, "="); n == name {
			return strconv.Atoi(fd)
		}
	}
	if name == "listen" && os.Getenv("LISTEN_PID") == strconv.Itoa(os.Getpid()) && os.Getenv("LISTEN_FDS") != "" {
		return 3, nil
	}
	return 0, nil
}

// tellSystemd says how the service stands, where systemd asked to be told
// (sd_notify(3)).
func tellSystemd(state string) error {
	at := os.Getenv("NOTIFY_SOCKET")
	if at == "" {
		return nil
	}
	c, err := net.DialUnix("unixgram", nil, &net.UnixAddr{Name: at, Net: "unixgram"})
	if err != nil {
		return err
	}
	_, err = c.Write([]byte(state))
	return errors.Join(err, c.Close())
}
