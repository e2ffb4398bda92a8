package main

import (
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"os"
	"sync"
	"time"
)

// A certificate is a pair of files that is read again when one of them
// changes, so that a renewal needs no restart.
type certificate struct {
	certFile, keyFile string

	mu     sync.Mutex
	pair   *tls.Certificate
	stamp  [2]time.Time
	looked time.Time
}

// lookEvery is how often the files are looked at, at most.
const lookEvery = 10 * time.Second

func newCertificate(certFile, keyFile string) (*certificate, error) {
	c := &certificate{certFile: certFile, keyFile: keyFile}
	return c, c.load()
}

func (c *certificate) stamps() (s [2]time.Time) {
	for i, f := range []string{c.certFile, c.keyFile} {
		if info, err := os.Stat(f); err == nil {
			s[i] = info.ModTime()
		}
	}
	return s
}

func (c *certificate) load() error {
	stamp := c.stamps()
	pair, err := tls.LoadX509KeyPair(c.certFile, c.keyFile)
	if err != nil {
		return fmt.Errorf("the certificate and its key cannot be used: %w", err)
	}
	if pair.Leaf == nil {
		if pair.Leaf, err = x509.ParseCertificate(pair.Certificate[0]); err != nil {
			return err
		}
	}
	c.pair, c.stamp, c.looked = &pair, stamp, time.Now()
	return nil
}

// get is the newest pair that could be read. While new files are being
// written and do not fit together, the old pair goes on.
func (c *certificate) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if time.Since(c.looked) >= lookEvery {
		c.looked = time.Now()
		if c.stamps() != c.stamp {
			_ = c.load() // the next look tries again
		}
	}
	return c.pair, nil
}

func (c *certificate) ends() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.pair.Leaf.NotAfter
}

// config is TLS 1.2 and newer with the library's choice of ciphers.
func (c *certificate) config() *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: c.get, NextProtos: []string{"h2", "http/1.1"}}
}
