//go:build !unix

package main

import (
	"errors"
	"net"
	"os"
)

// Sockets cannot be handed over here.
var restartSignals []os.Signal

func handOn(*net.TCPListener, string) (*os.File, error) {
	return nil, errors.New("sockets cannot be handed over on this system")
}
