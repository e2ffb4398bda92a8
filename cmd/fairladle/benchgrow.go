package main

import (
	"context"
	"errors"
	"fmt"
	"html"
	"math/rand/v2"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"
)

// signIn returns the header that a signed-in host sends.
func (b *bench) signIn(server *child) (string, error) {
	x, err := dial(server.address)
	if err != nil {
		return "", err
	}
	defer x.close()
	form := url.Values{"email": {benchHost}, "password": {demoPassword}}
	a, err := x.ask(postRequest(server.address, "/login", form.Encode()))
	if err != nil || a.status != 303 || a.cookie == "" {
		return "", fmt.Errorf("the host could not sign in: status %d: %w", a.status, err)
	}
	return "Cookie: " + a.cookie, nil
}

const benchHost = "bettina@example.org"

var nextLink = regexp.MustCompile(`href="([^"]*/entries\?[^"]*after=[0-9]+[^"]*)"`)

// list asks for pages of the host's list of 10,000 entries at 100 requests a
// second, as they come and not as they are answered.
func (b *bench) list(ctx context.Context) error {
	m, err := b.stocked(ctx, 10_000)
	if err != nil {
		return err
	}
	server, err := b.serve(ctx, m.dir)
	if err != nil {
		return err
	}
	defer server.stop() //nolint:errcheck // it ends
	host, err := b.signIn(server)
	if err != nil {
		return err
	}
	paths, err := listPages(server.address, host)
	if err != nil {
		return fmt.Errorf("list: %w", err)
	}
	took, err := steadily(server.address, 100, 4*b.load, func(i int) []byte { return getRequest(server.address, paths[i%len(paths)], host) })
	if err != nil {
		return fmt.Errorf("list: %w", err)
	}
	slices.Sort(took)
	p99 := took[len(took)*99/100]
	b.row("host's list of 10,000 entries at 100 requests a second", fmt.Sprintf("p99 %.1f ms, median %.1f ms", ms(p99), ms(took[len(took)/2])), "-", "p99 < 50 ms", p99 < 50*time.Millisecond)
	return nil
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

// listPages follows the list in every order, some pages each.
func listPages(address, host string) (paths []string, err error) {
	for _, order := range []string{"number", "title", "minutes", "findings", "received"} {
		path := "/host/c/stock/entries?sort=" + order
		for range 8 {
			a, err := get(address, path, host)
			if err != nil || a.status != 200 {
				return nil, fmt.Errorf("%s: status %d: %w", path, a.status, err)
			}
			paths = append(paths, path)
			next := nextLink.FindSubmatch(a.body)
			if next == nil {
				return nil, errors.New("the list has no next page: " + path)
			}
			path = html.UnescapeString(string(next[1]))
		}
	}
	rand.Shuffle(len(paths), func(i, j int) { paths[i], paths[j] = paths[j], paths[i] })
	return paths, nil
}

// steadily sends requests at a rate, each at its own moment, and returns how
// long after that moment each was answered.
func steadily(address string, rate int, d time.Duration, request func(i int) []byte) (took []time.Duration, err error) {
	due := make(chan int, 1000)
	var wg sync.WaitGroup
	var lock sync.Mutex
	began, gap := time.Now(), time.Second/time.Duration(rate)
	for range clients {
		wg.Go(func() {
			x, dialErr := dial(address)
			for i := range due {
				var a answer
				askErr := dialErr
				if askErr == nil {
					a, askErr = x.ask(request(i))
				}
				lock.Lock()
				if askErr != nil || a.status != 200 {
					err = fmt.Errorf("%w: %d: %v", errStatus, a.status, askErr)
				}
				took = append(took, time.Since(began.Add(time.Duration(i)*gap)))
				lock.Unlock()
			}
			if dialErr == nil {
				x.close()
			}
		})
	}
	for i := range int(d / gap) {
		time.Sleep(time.Until(began.Add(time.Duration(i) * gap)))
		due <- i
	}
	close(due)
	wg.Wait()
	return took, err
}

// large measures the start, the memory and the growth of every page's time.
func (b *bench) large(ctx context.Context) error {
	few, err := b.stocked(ctx, b.many/100)
	if err != nil {
		return err
	}
	many, err := b.stocked(ctx, b.many)
	if err != nil {
		return err
	}
	if b.wants("start") {
		if err := b.start(ctx, many); err != nil {
			return err
		}
	}
	if !b.wants("growth") && !b.wants("memory") {
		return nil
	}
	before, err := b.pages(ctx, few, nil)
	if err != nil {
		return err
	}
	after, err := b.pages(ctx, many, b.memory)
	if err != nil || !b.wants("growth") {
		return err
	}
	b.growth(before, after)
	return nil
}

// start measures from the beginning of the process to its first whole page.
func (b *bench) start(ctx context.Context, m made) error {
	var took []float64
	for range 5 {
		began := time.Now()
		server, err := b.serve(ctx, m.dir)
		if err != nil {
			return err
		}
		a, err := get(server.address, "/c/stock")
		took = append(took, ms(time.Since(began)))
		if err = errors.Join(err, server.stop()); err != nil || a.status != 200 {
			return fmt.Errorf("start: status %d: %w", a.status, err)
		}
	}
	b.row(fmt.Sprintf("start to first page, %d entries", b.many), fmt.Sprintf("%.0f ms", median(took)), "-", "300 ms", median(took) < 300)
	return nil
}

// A pageTime is how long a page takes, in milliseconds: what a quarter of its
// requests stay under, since the others may have waited for other work of the
// machine.
type pageTime struct {
	name string
	ms   float64
}

// grownPages are the pages of a challenge with a draw among all its entries.
// The cookie keeps a public page from being answered without rendering.
func grownPages(m made, host string) []struct{ name, path, header string } {
	const anyone = "Cookie: a=b"
	return []struct{ name, path, header string }{
		{"front page", "/", anyone}, {"challenge", "/c/stock", anyone}, {"list of all entries", "/c/stock/list", anyone},
		{"its later numbers", "/c/stock/list?from=500", anyone}, {"public draw", "/c/stock/draw/1", anyone}, {"ledger", "/c/stock/ledger", anyone},
		{"ledger's beginning", "/c/stock/ledger?from=0", anyone}, {"ledger proof", "/c/stock/ledger/proof?from=7", anyone}, {"feed", "/feed.atom", anyone},
		{"results", "/c/stock/results", anyone}, {"entrant's own page", m.entry, anyone}, {"entry slip", m.entry + "/slip.json", anyone}, {"host's home", "/host", host},
		{"challenge's desk", "/host/c/stock/", host}, {"settings", "/host/c/stock/settings", host}, {"rounds", "/host/c/stock/rounds", host},
		{"people", "/host/c/stock/people", host}, {"outbox", "/host/outbox", host}, {"list of entries", "/host/c/stock/entries", host},
		{"list by title", "/host/c/stock/entries?sort=title", host}, {"list by findings", "/host/c/stock/entries?sort=findings&down=1", host},
		{"one entry", "/host/c/stock/entries/9", host}, {"near-duplicates", "/host/c/stock/entries/alike", host}, {"questions", "/host/c/stock/questions", host},
		{"imports", "/host/c/stock/import", host}, {"draw desk", "/host/c/stock/draw/1", host}, {"camera page", "/host/c/stock/camera/1", host},
		{"tickets", "/host/c/stock/draw/1/tickets", host}, {"rehearsals", "/host/c/stock/draw/1/rehearsals", host},
		{"search", "/host/c/stock/entries?q=butter", host},
	}
}

// pages times every page of a stocked server, each alone; then, where asked,
// says what the server held.
func (b *bench) pages(ctx context.Context, m made, memory func(*child, []string) error) (times []pageTime, err error) {
	server, err := b.serve(ctx, m.dir)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, server.stop()) }()
	host, err := b.signIn(server)
	if err != nil {
		return nil, err
	}
	x, err := dial(server.address)
	if err != nil {
		return nil, err
	}
	defer x.close()
	var requests []string
	for _, p := range grownPages(m, host) {
		request := getRequest(server.address, p.path, p.header)
		var took []float64
		for i := range 42 {
			began := time.Now()
			a, err := x.ask(request)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", p.path, err)
			}
			if a.status == 404 {
				break // this challenge has none
			}
			if a.status != 200 {
				return nil, fmt.Errorf("%s: %w: %d", p.path, errStatus, a.status)
			}
			if i >= 2 {
				took = append(took, ms(time.Since(began)))
			}
		}
		if len(took) > 0 {
			times, requests = append(times, pageTime{p.name, slices.Sorted(slices.Values(took))[len(took)/4]}), append(requests, string(request))
		}
	}
	if memory != nil && b.wants("memory") {
		err = memory(server, requests)
	}
	return times, err
}

// memory says what the server holds when nobody asks, and under the load of
// all its pages and many clients.
func (b *bench) memory(server *child, requests []string) error {
	time.Sleep(3 * time.Second)
	idle, _ := server.memory()
	_, _, err := press(server.address, clients, 3*b.load, 200, func(client, i int) []byte { return []byte(requests[(client*7+i)%len(requests)]) })
	if err != nil {
		return err
	}
	_, most := server.memory()
	b.row(fmt.Sprintf("memory with %d entries, idle", b.many), fmt.Sprintf("%.0f MB", idle), "-", "80 MB", idle < 80)
	b.row("the same under the load of every page, 32 clients", fmt.Sprintf("%.0f MB", most), "-", "200 MB", most < 200)
	return nil
}

func (b *bench) growth(before, after []pageTime) {
	worst, name, search := 0.0, "", 0.0
	for _, old := range before {
		i := slices.IndexFunc(after, func(p pageTime) bool { return p.name == old.name })
		if i < 0 {
			continue
		}
		now := after[i].ms
		fmt.Fprintf(b.out, "    %-22s %7.2f ms  %7.2f ms  x %.2f\n", old.name, old.ms, now, now/old.ms)
		if strings.HasPrefix(old.name, "search") {
			search = now
			continue
		}
		if now/old.ms > worst {
			worst, name = now/old.ms, old.name
		}
	}
	b.row(fmt.Sprintf("growth of a page's time, %d to %d entries", b.many/100, b.many), fmt.Sprintf("x %.2f at most (%s)", worst, name), "-", "x 2", worst < 2)
	b.row("ranked search", fmt.Sprintf("%.1f ms", search), "-", "100 ms", search < 100)
}
