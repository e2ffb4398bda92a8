//go:build unix

package main

import (
	"errors"
	"net"
	"os"
	"syscall"
)

// restartSignals ask a server to hand over to a new process. SIGHUP is not
// among them: a closed terminal sends it.
var restartSignals = []os.Signal{syscall.SIGUSR2}

// handOn is a second descriptor of a socket. [net.TCPListener.File] gives one
// too, but os/exec would put that one, and with it the socket itself, into
// blocking mode, in which it cannot be closed while it waits.
func handOn(ln *net.TCPListener, name string) (*os.File, error) {
	raw, err := ln.SyscallConn()
	if err != nil {
		return nil, err
	}
	var fd int
	var failed error
	err = raw.Control(func(own uintptr) {
		syscall.ForkLock.RLock()
		defer syscall.ForkLock.RUnlock()
		if fd, failed = syscall.Dup(int(own)); failed == nil {
			syscall.CloseOnExec(fd)
		}
	})
	if err := errors.Join(err, failed); err != nil {
		return nil, err
	}
	return os.NewFile(uintptr(fd), name), nil
}
