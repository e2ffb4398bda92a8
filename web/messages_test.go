package web_test

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"net"
	"net/http"
	"net/mail"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/web/outbox"
)

// shortlisted is a challenge whose reading is closed and not released yet.
func shortlisted(t *testing.T) *lifetime {
	h := &lifetime{live: newLive(t)}
	h.host = h.setUp()
	h.slug = h.challenge(h.host)
	h.desk = "/host/c/" + h.slug
	h.collect()
	h.read()
	return h
}

func TestNothingIsToldBeforeItsTime(t *testing.T) {
	h := shortlisted(t)
	require.NoError(t, h.db.SentUpTo(t.Context(), 1<<40), "what came before is not this test's matter")
	g := h.host.get(h.desk+"/messages").ok().says("Goes on", "Release it to 11 people", "Release it to 19 people").hides(names...)
	g.button("Release it to 11 people").send().ok().says("Released", "waits for its time", "Take the release back")
	h.host.get(h.desk + "/messages").ok().button("Release it to 19 people").send().ok()
	require.NoError(t, h.db.RunMailings(t.Context()))
	waiting, err := h.db.Waiting(t.Context(), 100)
	require.NoError(t, err)
	require.Empty(t, waiting, "the outcome is not public yet")

	h.host.get(h.desk + "/messages").ok().button("Take the release back").send().ok().says("Nobody was told")
	h.host.get(h.desk + "/messages").ok().button("Release it to 11 people").send().ok()
	h.now = time.Date(2026, 12, 1, 18, 1, 0, 0, time.UTC)
	require.NoError(t, h.db.RunMailings(t.Context()))
	require.NoError(t, h.db.RunMailings(t.Context()))
	waiting, err = h.db.Waiting(t.Context(), 100)
	require.NoError(t, err)
	require.Len(t, waiting, 30)
	h.host.post(h.desk+"/messages/1/shortlisted/release", nil).is(http.StatusConflict).says("nobody is told twice")
	h.host.post(h.desk+"/messages/1/shortlisted/back", nil).is(http.StatusConflict).says("in the outbox already")
}

func TestTheOutboxLeavesByHandInOneGo(t *testing.T) {
	h := shortlisted(t)
	require.NoError(t, h.db.SentUpTo(t.Context(), 1<<40))
	h.host.get(h.desk + "/messages").ok().button("Release it to 11 people").send().ok()
	h.now = time.Date(2026, 12, 1, 18, 1, 0, 0, time.UTC)
	require.NoError(t, h.db.RunMailings(t.Context()))
	h.host.get("/host/outbox").ok().says("11 mail files (zip)", "Table for a mail merge").hides(names...)

	z := h.host.get("/host/outbox.zip").ok()
	r, err := zip.NewReader(strings.NewReader(z.body), int64(len(z.body)))
	require.NoError(t, err)
	require.Len(t, r.File, 11)
	seen := map[string]bool{}
	for _, f := range r.File {
		in, err := f.Open()
		require.NoError(t, err)
		m, err := mail.ReadMessage(in)
		require.NoError(t, err)
		to, err := m.Header.AddressList("To")
		require.NoError(t, err)
		require.Len(t, to, 1, "nobody sees the address of another")
		require.Empty(t, m.Header.Get("Cc")+m.Header.Get("Bcc"))
		seen[to[0].Address] = true
		require.Contains(t, m.Header.Get("Content-Type"), "multipart/alternative")
	}
	require.Len(t, seen, 11)

	c := h.host.get("/host/outbox.csv").ok()
	lines, err := csv.NewReader(strings.NewReader(c.body)).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 12)
	require.Equal(t, []string{"to", "name", "subject", "text"}, lines[0])
	require.Contains(t, lines[1][3], h.server.URL+"/entry/")
	link := regexp.MustCompile(`/entry/\S+`).FindString(lines[1][3])
	h.person().get(link).ok().says("Leaf parcels")

	h.host.get("/host/account").ok().says("No. 3 – Stuffed leaves")
	h.host.get("/host/outbox").ok().form("last").set("sure", "1").send().ok().says("Nothing waits")
	h.host.get(h.desk + "/messages").ok().says("sent 11, waiting 0")
}

func TestAHostWordsAMessage(t *testing.T) {
	h := shortlisted(t)
	edit := h.desk + "/messages/shortlisted"
	g := h.host.get(edit).ok().says("Your recipe goes on – Stuffed leaves", "No. 30", "[the name]", "[private-link]").hides(names...)
	g.form("body").set("body", "Hello {nmae}, {link}").send().is(http.StatusUnprocessableEntity).says("Nothing fills {nmae}")
	g.form("body").set("body", "Hello {name}").send().is(http.StatusUnprocessableEntity).says("Without {link} nobody gets")
	g.form("body").set("subject", "See {link}").send().is(http.StatusUnprocessableEntity).says("not in the subject")
	g.form("body").set("subject", "On\r\nBcc: x@example.org").send().is(http.StatusUnprocessableEntity).says("The subject is one line")
	g.form("body").set("subject", "On with {title}!").set("body", "Dear {name}, No. {number} goes on.\n\n{link}").set("do", "preview").send().ok().
		says("On with Leaf parcels, way 30!", "Dear [the name], No. 30 goes on.").hides("Saved.")
	h.host.get(edit).ok().says("Your recipe goes on – Stuffed leaves")
	g = g.form("body").set("subject", "On with {title}!").set("body", "Dear {name}\n\n{link}").send().ok().says("Saved.", "On with Leaf parcels, way 30!")
	h.host.get(h.desk + "/messages").ok().says("your own words")
	g.form("body").set("do", "usual").send().ok().says("The usual words are back", "Your recipe goes on – Stuffed leaves")
}

// TestMessagesLeaveBySMTP speaks SMTP (RFC 5321) with a server the test
// starts: it refuses one address for good, and takes the others.
func TestMessagesLeaveBySMTP(t *testing.T) {
	h := shortlisted(t)
	require.NoError(t, h.db.SentUpTo(t.Context(), 1<<40))
	var log bytes.Buffer
	s := newPostOffice(t, "entrant3@example.net")
	server, err := outbox.ParseServer("smtp://"+s.address, "Millrace <kitchen@example.org>")
	require.NoError(t, err)
	h.config.Mail = server
	h.logTo(&log)
	h.host = h.person()
	h.host.get("/login").ok().form("email").set("email", "hanne@example.org").set("password", testPassword).send().ok()
	h.host.get(h.desk + "/messages").ok().button("Release it to 11 people").send().ok()
	h.now = time.Date(2026, 12, 1, 18, 1, 0, 0, time.UTC)
	h.work(func() bool {
		return s.count() == 10 && !strings.Contains(h.host.get(h.desk+"/messages").text(), "waiting 1")
	})

	h.host.get(h.desk+"/messages").ok().says("sent 10, waiting 0", "One could not be delivered")
	h.host.get("/host/outbox").ok().says("given up", "does not know this address (550)", "No. 3").hides(names...)
	for _, name := range append(names, "entrant") {
		require.NotContains(t, log.String(), name, "no personal data in the log")
	}
	m := s.letter(0)
	stop := strings.Trim(m.Header.Get("List-Unsubscribe"), "<>")
	require.Equal(t, "List-Unsubscribe=One-Click", m.Header.Get("List-Unsubscribe-Post"))

	// A program that only looks changes nothing; one click does (RFC 8058).
	u, err := url.Parse(stop)
	require.NoError(t, err)
	h.person().get(u.Path).ok().says("Stop them").hides(names...)
	h.person().post(u.Path, url.Values{"List-Unsubscribe": {"One-Click"}}).ok().says("Done.")
	h.person().post(u.Path, url.Values{"List-Unsubscribe": {"One-Click"}}).ok()
	h.person().get(u.Path + "x").is(http.StatusNotFound)
	h.host.get(h.desk + "/messages").ok().says("Release it to")
	h.host.get("/host/outbox").ok().button("Try it again").send().ok().says("It is tried again")
}

// work lets the server's own work go on until done, or fails.
func (l *live) work(done func() bool) {
	ctx, cancel := context.WithCancel(l.t.Context())
	var wg sync.WaitGroup
	wg.Go(func() { l.site.Work(ctx) })
	defer wg.Wait()
	defer cancel()
	for range 400 {
		if done() {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	require.Fail(l.t, "the work is not done")
}

// A postOffice is a mail server of a test.
type postOffice struct {
	address, refuses string
	mu               sync.Mutex
	letters          []*mail.Message
}

func newPostOffice(t *testing.T, refuses string) *postOffice {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { ln.Close() })
	s := &postOffice{address: ln.Addr().String(), refuses: refuses}
	go func() {
		for {
			c, err := ln.Accept()
			if err != nil {
				return
			}
			go s.talk(c)
		}
	}()
	return s
}

func (s *postOffice) talk(c net.Conn) {
	defer c.Close()
	fmt.Fprint(c, "220 test\r\n")
	in := bufio.NewScanner(c)
	for in.Scan() {
		line := in.Text()
		switch {
		case strings.HasPrefix(line, "RCPT") && strings.Contains(line, s.refuses):
			fmt.Fprint(c, "550 5.1.1 no such mailbox\r\n")
		case strings.HasPrefix(line, "DATA"):
			fmt.Fprint(c, "354 go on\r\n")
			var b strings.Builder
			for in.Scan() && in.Text() != "." {
				b.WriteString(in.Text() + "\r\n")
			}
			if m, err := mail.ReadMessage(strings.NewReader(b.String())); err == nil {
				s.mu.Lock()
				s.letters = append(s.letters, m)
				s.mu.Unlock()
			}
			fmt.Fprint(c, "250 taken\r\n")
		case strings.HasPrefix(line, "QUIT"):
			fmt.Fprint(c, "221 bye\r\n")
			return
		default:
			fmt.Fprint(c, "250 ok\r\n")
		}
	}
}

func (s *postOffice) count() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.letters)
}

func (s *postOffice) letter(i int) *mail.Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.letters[i]
}

func TestPagesSpeakTheChallengesLanguage(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	host.get("/host/c/"+slug+"/settings").ok().form("title").set("language", "de").set("reason", "Our people speak German.").send().ok().says("Saved.")
	g := l.person().get("/c/"+slug).ok().says("Einsendeschluss", "16. Nov. 2026, 20:00 WEZ").hides("Entries close")
	require.Contains(t, g.body, `<html lang="de"`)
	l.person().get("/c/"+slug+"/enter").ok().says("Dein Text bleibt Wort für Wort erhalten").form("text").set("do", "send").send().
		is(http.StatusUnprocessableEntity).says("Füge dein Rezept hier ein oder tippe es.")
	require.Contains(t, host.get("/host/c/"+slug).ok().body, `<html lang="en"`)
	host.get("/host/community").ok().form("site").set("language", "de").send().ok().says("Gespeichert.")
	require.Contains(t, host.get("/host/c/"+slug).ok().says("Der Ablauf").body, `<html lang="de"`)
}
