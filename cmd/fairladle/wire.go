package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"net"
	"strconv"
	"strings"
	"time"
)

// A wire is one connection that asks and reads as little as it can, so that
// what is measured is the server.
type wire struct {
	conn net.Conn
	in   *bufio.Reader
	body []byte
}

// An answer is what came back; its body holds until the next one.
type answer struct {
	status   int
	cookie   string // all that were set, as a browser sends them back
	location string
	body     []byte
}

func dial(address string) (*wire, error) {
	conn, err := net.DialTimeout("tcp", address, 5*time.Second)
	if err != nil {
		return nil, err
	}
	return &wire{conn: conn, in: bufio.NewReaderSize(conn, 64<<10)}, nil
}

func (x *wire) close() { x.conn.Close() } //nolint:errcheck // nothing is lost with it

// ask writes a request and reads the answer.
func (x *wire) ask(request []byte) (a answer, err error) {
	if err := x.conn.SetDeadline(time.Now().Add(30 * time.Second)); err != nil {
		return a, err
	}
	if _, err := x.conn.Write(request); err != nil {
		return a, err
	}
	line, err := x.in.ReadSlice('\n')
	if err != nil {
		return a, err
	}
	if len(line) < 12 {
		return a, fmt.Errorf("not an answer: %q", line)
	}
	if a.status, err = strconv.Atoi(string(line[9:12])); err != nil {
		return a, err
	}
	length, chunked := 0, false
	for {
		if line, err = x.in.ReadSlice('\n'); err != nil {
			return a, err
		}
		if len(line) <= 2 {
			break
		}
		name, value, _ := bytes.Cut(line[:len(line)-2], []byte(": "))
		switch string(name) {
		case "Content-Length":
			length, err = strconv.Atoi(string(value))
		case "Transfer-Encoding":
			chunked = true
		case "Set-Cookie":
			one, _, _ := strings.Cut(string(value), ";")
			if a.cookie != "" {
				one = a.cookie + "; " + one
			}
			a.cookie = one
		case "Location":
			a.location = string(value)
		}
		if err != nil {
			return a, err
		}
	}
	if a.status == 304 || a.status == 204 {
		return a, nil
	}
	if chunked {
		a.body, err = x.chunks()
		return a, err
	}
	if cap(x.body) < length {
		x.body = make([]byte, length)
	}
	a.body = x.body[:length]
	_, err = io.ReadFull(x.in, a.body)
	return a, err
}

func (x *wire) chunks() ([]byte, error) {
	x.body = x.body[:0]
	for {
		line, err := x.in.ReadSlice('\n')
		if err != nil {
			return nil, err
		}
		n, err := strconv.ParseInt(strings.TrimSpace(string(line)), 16, 32)
		if err != nil {
			return nil, err
		}
		at := len(x.body)
		x.body = append(x.body, make([]byte, n+2)...)
		if _, err := io.ReadFull(x.in, x.body[at:]); err != nil {
			return nil, err
		}
		x.body = x.body[:at+int(n)]
		if n == 0 {
			return x.body, nil
		}
	}
}

// getRequest is a request for a path; each header is a whole line.
func getRequest(address, path string, headers ...string) []byte {
	return []byte("GET " + path + " HTTP/1.1\r\nHost: " + address + "\r\n" + lines(headers) + "\r\n")
}

// postRequest sends a form.
func postRequest(address, path, form string, headers ...string) []byte {
	return []byte("POST " + path + " HTTP/1.1\r\nHost: " + address + "\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: " +
		strconv.Itoa(len(form)) + "\r\n" + lines(headers) + "\r\n" + form)
}

func lines(headers []string) string {
	var b strings.Builder
	for _, h := range headers {
		b.WriteString(h + "\r\n")
	}
	return b.String()
}

var errStatus = errors.New("the server answered with another status")

// get is one request on a connection of its own.
func get(address, path string, headers ...string) (answer, error) {
	x, err := dial(address)
	if err != nil {
		return answer{}, err
	}
	defer x.close()
	a, err := x.ask(getRequest(address, path, append(headers, "Connection: close")...))
	a.body = bytes.Clone(a.body)
	return a, err
}
