package main

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/store/backup"
)

// asProgram makes the test's own binary behave as the program, so that a test
// can start it as a process of its own.
const asProgram = "RUN_AS_FAIRLADLE"

// patience is how long a test waits for a process on a busy machine.
const patience = time.Minute

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// freeAddress is a loopback address that was free a moment ago.
func freeAddress(t *testing.T) string {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	require.NoError(t, ln.Close())
	return ln.Addr().String()
}

// A logged is a file that a process and those after it write to.
type logged struct{ name string }

func (l logged) String() string {
	b, err := os.ReadFile(l.name)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

func logFile(t *testing.T, c *exec.Cmd) logged {
	f, err := os.Create(filepath.Join(t.TempDir(), "log"))
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	c.Stdout, c.Stderr = f, f
	return logged{f.Name()}
}

// hammer asks again and again, on fresh connections and on kept ones, until
// stopped; it returns how many answers came and every failure.
func hammer(at string, stop <-chan struct{}) (answers *atomic.Int64, failures *said, done *sync.WaitGroup) {
	answers, failures, done = &atomic.Int64{}, &said{}, &sync.WaitGroup{}
	for i := range 6 {
		client := &http.Client{Timeout: 30 * time.Second, Transport: &http.Transport{DisableKeepAlives: i%2 == 0}}
		done.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				res, err := client.Get("http://" + at + "/healthz")
				if err != nil {
					fmt.Fprintln(failures, err)
					continue
				}
				if _, err := io.Copy(io.Discard, res.Body); err != nil || res.StatusCode != http.StatusOK {
					fmt.Fprintln(failures, res.StatusCode, err)
				}
				res.Body.Close()
				answers.Add(1)
			}
		})
	}
	return answers, failures, done
}

func healthOf(t *testing.T, at string) string {
	res, err := (&http.Client{Transport: &http.Transport{DisableKeepAlives: true}}).Get("http://" + at + "/healthz")
	require.NoError(t, err)
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return string(b)
}

// Six clients ask without a pause while the server is restarted three times:
// not one request is refused or broken off, and each time another process
// answers afterwards.
func TestRestartRefusesNoRequest(t *testing.T) {
	at, data := freeAddress(t), t.TempDir()
	c := exec.Command(os.Args[0], "serve", "--data", data, "--listen", at) //nolint:gosec // this test's own binary
	c.Env = append(os.Environ(), asProgram+"=1")
	log := logFile(t, c)
	require.NoError(t, c.Start())
	pids := []int{c.Process.Pid}
	t.Cleanup(func() {
		for _, pid := range serversOf(t, data) { // whatever went wrong, nothing is left running
			_ = syscall.Kill(pid, syscall.SIGKILL)
		}
	})
	first := make(chan error, 1)
	go func() { first <- c.Wait() }()
	require.Eventually(t, func() bool { return strings.Contains(log.String(), "/setup/") }, patience, 10*time.Millisecond)
	stop := make(chan struct{})
	answers, failures, clients := hammer(at, stop)
	mark := healthOf(t, at)
	for range 3 {
		before := answers.Load()
		require.NoError(t, syscall.Kill(pids[len(pids)-1], syscall.SIGUSR2))
		require.Eventually(t, func() bool { return healthOf(t, at) != mark }, patience, 10*time.Millisecond, "%s", log)
		old := pids[len(pids)-1]
		require.Eventually(t, func() bool { return !serves(old) }, patience, 10*time.Millisecond, "the old process ends")
		mark = healthOf(t, at)
		now := serversOf(t, data)
		require.Len(t, now, 1)
		pids = append(pids, now[0])
		require.Greater(t, answers.Load(), before)
	}
	require.NoError(t, <-first)
	close(stop)
	clients.Wait()
	require.Empty(t, failures.String(), "of %d answers", answers.Load())
	require.NotEqual(t, pids[0], pids[1])
	t.Logf("%d answers over 3 restarts, none failed", answers.Load())
	require.NoError(t, syscall.Kill(pids[len(pids)-1], syscall.SIGTERM))
}

// serves says whether a process is there and not merely waiting to be noticed.
func serves(pid int) bool {
	b, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	return err == nil && !strings.Contains(string(b), ") Z ")
}

// serversOf finds the processes that serve a folder.
func serversOf(t *testing.T, data string) (pids []int) {
	all, err := filepath.Glob("/proc/[0-9]*/cmdline")
	require.NoError(t, err)
	for _, f := range all {
		b, err := os.ReadFile(f)
		var pid int
		if err == nil && strings.Contains(string(b), "serve\x00--data\x00"+data+"\x00") {
			if _, err := fmt.Sscanf(f, "/proc/%d/", &pid); err == nil && serves(pid) {
				pids = append(pids, pid)
			}
		}
	}
	return pids
}

// A new process that does not come up leaves the old one at work.
func TestAFailedRestartChangesNothing(t *testing.T) {
	at, data, key := freeAddress(t), t.TempDir(), filepath.Join(t.TempDir(), "password")
	require.NoError(t, os.WriteFile(key, []byte("x"), 0o600))
	c := exec.Command(os.Args[0], "serve", "--data", data, "--listen", at, "--smtp", "smtp://u@localhost", "--from", "a@example.org", "--smtp-password-file", key) //nolint:gosec // this test's own binary
	c.Env = append(os.Environ(), asProgram+"=1")
	log := logFile(t, c)
	require.NoError(t, c.Start())
	t.Cleanup(func() { _ = c.Process.Kill() })
	require.Eventually(t, func() bool { return strings.Contains(log.String(), "/setup/") }, patience, 10*time.Millisecond)
	mark := healthOf(t, at)
	require.NoError(t, os.Remove(key))
	require.NoError(t, c.Process.Signal(syscall.SIGUSR2))
	require.Eventually(t, func() bool { return strings.Contains(log.String(), "this process goes on") }, patience, 10*time.Millisecond, "%s", log)
	require.Equal(t, mark, healthOf(t, at))
	require.NoError(t, c.Process.Signal(syscall.SIGTERM))
	require.NoError(t, c.Wait())
}

// writePair writes a self-signed certificate with a serial number.
func writePair(t *testing.T, cert, key string, serial int64) {
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	template := x509.Certificate{SerialNumber: big.NewInt(serial), Subject: pkix.Name{CommonName: "localhost"}, DNSNames: []string{"localhost"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour)}
	der, err := x509.CreateCertificate(rand.Reader, &template, &template, &private.PublicKey, private)
	require.NoError(t, err)
	raw, err := x509.MarshalPKCS8PrivateKey(private)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(cert, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600))
	require.NoError(t, os.WriteFile(key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: raw}), 0o600))
}

func TestOwnCertificateIsServedAndReadAgain(t *testing.T) {
	dir := t.TempDir()
	cert, key := filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	writePair(t, cert, key, 1)
	at := freeAddress(t)
	running(t, "/setup/", "serve", "--data", t.TempDir(), "--listen", at, "--cert", cert, "--key", key)
	serial := func() int64 {
		c, err := tls.Dial("tcp", at, &tls.Config{InsecureSkipVerify: true}) //nolint:gosec // a certificate this test made
		require.NoError(t, err)
		defer c.Close()
		return c.ConnectionState().PeerCertificates[0].SerialNumber.Int64()
	}
	require.EqualValues(t, 1, serial())
	_, err := tls.Dial("tcp", at, &tls.Config{InsecureSkipVerify: true, MaxVersion: tls.VersionTLS11}) //nolint:gosec // what must be refused
	require.Error(t, err)

	pair, err := newCertificate(cert, key)
	require.NoError(t, err)
	next := func() int64 {
		pair.looked = time.Time{} // as if the time to look had come
		p, err := pair.get(nil)
		require.NoError(t, err)
		return p.Leaf.SerialNumber.Int64()
	}
	writePair(t, cert, filepath.Join(dir, "other.pem"), 2)
	require.EqualValues(t, 1, next(), "half-written files do not fit together: the old pair goes on")
	writePair(t, cert, key, 3)
	require.EqualValues(t, 3, next())
}

func TestStatusAddressTellsNothingOfAnybody(t *testing.T) {
	at := freeAddress(t)
	out := running(t, "/setup/", "serve", "--data", t.TempDir(), "--listen", "127.0.0.1:0", "--status", at, "--log", "json")
	link := addresses.FindString(out.String())
	for range 3 {
		res, err := http.Get(link)
		require.NoError(t, err)
		res.Body.Close()
	}
	req, err := http.NewRequestWithContext(t.Context(), "EVIL", strings.Split(link, "/setup/")[0]+"/", nil)
	require.NoError(t, err)
	res, err := http.DefaultClient.Do(req)
	require.NoError(t, err)
	res.Body.Close()
	res, err = http.Get("http://" + at + "/metrics")
	require.NoError(t, err)
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	metrics := string(b)
	require.Contains(t, metrics, `fairladle_request_seconds_count{method="GET",route="/setup/{token}",status="2xx"} 3`)
	require.Contains(t, metrics, "fairladle_jobs_waiting 0")
	require.Regexp(t, `fairladle_database_bytes [1-9]`, metrics)
	require.NotContains(t, metrics, strings.Split(link, "/setup/")[1], "no token")
	require.NotContains(t, metrics, "EVIL")
	for _, health := range []string{"/healthz", "/readyz"} {
		res, err := http.Get("http://" + at + health)
		require.NoError(t, err)
		res.Body.Close()
		require.Equal(t, http.StatusOK, res.StatusCode)
	}
	site := regexp.MustCompile(`http://[^/]+`).FindString(link)
	res, err = http.Get(site + "/metrics")
	require.NoError(t, err)
	res.Body.Close()
	require.Equal(t, http.StatusNotFound, res.StatusCode, "visitors do not see it")
}

func TestScheduledCopies(t *testing.T) {
	folder, copies := t.TempDir(), t.TempDir()
	out := running(t, "/setup/", "serve", "--data", folder, "--listen", "127.0.0.1:0", "--backups", copies, "--backup-every", "24h")
	require.Eventually(t, func() bool {
		at, err := backup.Newest(copies)
		return err == nil && !at.IsZero()
	}, patience, 10*time.Millisecond, "%s", out)
	names, err := filepath.Glob(filepath.Join(copies, "*"))
	require.NoError(t, err)
	require.Len(t, names, 1)
	restored := filepath.Join(t.TempDir(), "restored")
	require.NoError(t, run(context.Background(), []string{"restore", "--data", restored, names[0]}, io.Discard))
	require.NoError(t, run(context.Background(), []string{"check", "--data", restored}, io.Discard))
}
