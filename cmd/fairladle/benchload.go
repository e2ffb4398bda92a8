package main

import (
	"context"
	"fmt"
	"html"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"fairladle/challenge"
	"fairladle/cmd/fairladle/demo"
	"fairladle/store/yardstick"
)

// finalists is how many dishes stand on the ballot.
const finalists = 3

// clients is how many connections a load comes from.
const clients = 32

// small measures what needs no large challenge: a published page, entries and
// ballots made durable.
func (b *bench) small(ctx context.Context) (err error) {
	dir := filepath.Join(b.dir, "small")
	var open, vote challenge.Challenge
	var texts []string
	var results string
	fmt.Fprintln(b.out, "Filling a site ...")
	if err := b.filled(ctx, dir, func(f *filling) error {
		for _, d := range f.story.Challenges {
			if d.Stage == demo.Released && results == "" {
				if err := f.challenge(ctx, d); err != nil {
					return err
				}
				results = "/c/" + d.Slug + "/results"
			}
		}
		texts = f.benchTexts()
		f.at(-2 * 24 * time.Hour)
		if open, err = f.benchChallenge(ctx, "Open house", -24*time.Hour, 40*24*time.Hour, challenge.Reading); err != nil {
			return err
		}
		f.at(-20 * 24 * time.Hour)
		if vote, err = f.benchChallenge(ctx, "Favourites", -19*24*time.Hour, -24*time.Hour, challenge.Vote); err != nil {
			return err
		}
		f.at(-18 * 24 * time.Hour)
		if _, err = f.benchEntries(ctx, vote, finalists); err != nil {
			return err
		}
		f.clock.real()
		return f.db.OpenRound(ctx, f.host, vote.ID, vote.Rounds[0].ID)
	}); err != nil {
		return err
	}
	server, err := b.serve(ctx, dir)
	if err != nil {
		return err
	}
	defer func() {
		if server != nil {
			server.stop() //nolint:errcheck // it ends
		}
	}()
	if b.wants("page") {
		if err := b.page(ctx, server, results); err != nil {
			return fmt.Errorf("page: %w", err)
		}
	}
	if b.wants("entries") {
		if err := b.entries(ctx, server, dir, open, texts); err != nil {
			return fmt.Errorf("entries: %w", err)
		}
	}
	if b.wants("ballots") {
		if err := b.ballots(ctx, server, dir, vote); err != nil {
			return fmt.Errorf("ballots: %w", err)
		}
	}
	return nil
}

// serve starts a server on a data folder. It believes what this machine says
// of networks, since one network alone may not send so much.
func (b *bench) serve(ctx context.Context, dir string) (*child, error) {
	log, err := os.OpenFile(filepath.Join(b.dir, "server.log"), os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return nil, err
	}
	defer log.Close() // the child has its own
	return startChild(ctx, log, "serve", "--data", dir, "--listen", "127.0.0.1:0", "--proxies", "127.0.0.0/8")
}

// press lets clients ask until the time is over or next has no more, and
// returns how many answers had the status.
func press(address string, n int, d time.Duration, status int, next func(client, i int) []byte) (done int64, took time.Duration, err error) {
	var wg sync.WaitGroup
	var count atomic.Int64
	var failed atomic.Value
	began := time.Now()
	for client := range n {
		wg.Go(func() {
			x, err := dial(address)
			if err != nil {
				failed.Store(err)
				return
			}
			defer x.close()
			for i := 0; time.Since(began) < d && failed.Load() == nil; i++ {
				request := next(client, i)
				if request == nil {
					return
				}
				a, err := x.ask(request)
				if err == nil && a.status != status {
					err = fmt.Errorf("%w: %d, not %d: %.600s", errStatus, a.status, status, a.body)
				}
				if err != nil {
					failed.Store(err)
					return
				}
				count.Add(1)
			}
		})
	}
	wg.Wait()
	err, _ = failed.Load().(error)
	return count.Load(), time.Since(began), err
}

// page compares a published page with a bare handler that writes its bytes,
// in turns.
func (b *bench) page(ctx context.Context, server *child, path string) error {
	a, err := get(server.address, path)
	if err != nil || a.status != 200 {
		return fmt.Errorf("%s: status %d: %w", path, a.status, err)
	}
	file := filepath.Join(b.dir, "page.html")
	if err := os.WriteFile(file, a.body, 0o600); err != nil {
		return err
	}
	bare, err := startChild(ctx, os.Stderr, "bench", "--bare", file)
	if err != nil {
		return err
	}
	defer bare.stop() //nolint:errcheck // it ends
	var ratios, rates []float64
	for range 3 {
		var rate [2]float64
		for i, address := range []string{bare.address, server.address} {
			request := getRequest(address, path)
			n, took, err := press(address, 16, b.load, 200, func(int, int) []byte { return request })
			if err != nil {
				return err
			}
			rate[i] = float64(n) / took.Seconds()
		}
		ratios, rates = append(ratios, rate[1]/rate[0]), append(rates, rate[1])
	}
	r := median(ratios)
	b.row("results page, requests a second", fmt.Sprintf("%.0f/s of %d bytes", median(rates), len(a.body)), fmt.Sprintf("%.0f %% of a bare handler", 100*r), "85 %", r >= 0.85)
	return nil
}

// network is an address that nobody else sends from.
func network() string {
	return fmt.Sprintf("X-Forwarded-For: 10.%d.%d.%d", rand.IntN(256), rand.IntN(256), rand.IntN(256))
}

func (b *bench) entries(ctx context.Context, server *child, dir string, c challenge.Challenge, texts []string) error {
	var sent atomic.Int64
	path := "/c/" + c.Slug + "/enter"
	return b.inTurns("entries made durable, 32 clients", "60 %", 0.6, func() (int64, time.Duration, error) {
		return press(server.address, clients, b.load, 303, func(int, int) []byte {
			i := sent.Add(1)
			form := url.Values{"do": {"send"}, "text": {texts[int(i)%len(texts)]}, "name": {fmt.Sprintf("Sender %d", i)}, "email": {fmt.Sprintf("sender%d@example.net", i)},
				"origin": {string(challenge.OriginOwn)}}
			for _, k := range challenge.ConsentKinds {
				form.Set("consent-"+string(k), "1")
			}
			return postRequest(server.address, path, form.Encode(), network())
		})
	}, func(n int) (yardstick.Pace, error) {
		return yardstick.Entries(ctx, filepath.Join(dir, "fairladle.db"), b.dir, c.ID, n, 2*b.load)
	})
}

// inTurns lets the server and the bare database make things durable in turns,
// and takes the middle of the ratios: a machine is not equally fast all the
// time.
func (b *bench) inTurns(what, reach string, least float64, served func() (int64, time.Duration, error), bare func(n int) (yardstick.Pace, error)) error {
	var rates, bares, ratios []float64
	for range 3 {
		n, took, err := served()
		if err != nil {
			return err
		}
		pace, err := bare(int(n))
		if err != nil {
			return err
		}
		rate := float64(n) / took.Seconds()
		rates, bares, ratios = append(rates, rate), append(bares, pace.PerSecond()), append(ratios, rate/pace.PerSecond())
	}
	r := median(ratios)
	b.row(what, fmt.Sprintf("%.0f/s", median(rates)), fmt.Sprintf("%.0f %% of %.0f/s bare", 100*r, median(bares)), reach, r >= least)
	return nil
}

var (
	slipField   = regexp.MustCompile(`name="slip" value="([^"]*)"`)
	choiceField = regexp.MustCompile(`type="radio" name="choice" value="([0-9]+)"`)
)

func (b *bench) ballots(ctx context.Context, server *child, dir string, c challenge.Challenge) error {
	path := "/c/" + c.Slug + "/vote/1"
	ready, err := b.passes(server, path)
	if err != nil {
		return err
	}
	third, turn := len(ready)/3, 0
	return b.inTurns("ballots made durable, 32 clients", "120 %", 1.2, func() (int64, time.Duration, error) {
		mine := ready[turn*third : (turn+1)*third]
		turn++
		var next atomic.Int64
		return press(server.address, clients, time.Minute, 200, func(int, int) []byte {
			i := int(next.Add(1)) - 1
			if i >= len(mine) {
				return nil
			}
			return mine[i]
		})
	}, func(n int) (yardstick.Pace, error) {
		return yardstick.Ballots(ctx, filepath.Join(dir, "fairladle.db"), b.dir, c.Rounds[0].ID, n, 2*b.load)
	})
}

// passes opens the ballot in as many browsers as fit in the time, and fills
// each in.
func (b *bench) passes(server *child, path string) (ready [][]byte, err error) {
	var lock sync.Mutex
	var wg sync.WaitGroup
	began := time.Now()
	for range 8 {
		wg.Go(func() {
			x, dialErr := dial(server.address)
			if dialErr != nil {
				return
			}
			defer x.close()
			for time.Since(began) < 3*b.load {
				a, askErr := x.ask(getRequest(server.address, path, network()))
				slip, choices := slipField.FindSubmatch(a.body), choiceField.FindAllSubmatch(a.body, -1)
				lock.Lock()
				if askErr != nil || slip == nil || len(choices) == 0 {
					err = fmt.Errorf("the ballot is not as expected: status %d, %v, %.300s", a.status, askErr, a.body)
					lock.Unlock()
					return
				}
				form := url.Values{"slip": {html.UnescapeString(string(slip[1]))}, "choice": {string(choices[rand.IntN(len(choices))][1])}}
				ready = append(ready, postRequest(server.address, path, form.Encode(), "Cookie: "+a.cookie, network()))
				lock.Unlock()
			}
		})
	}
	wg.Wait()
	return ready, err
}

func median(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	if len(x) == 0 {
		return 0
	}
	return x[len(x)/2]
}
