package outbox_test

import (
	"bufio"
	"fmt"
	"net"
	"net/mail"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/store"
	"fairladle/web/outbox"
	"fairladle/web/text"
)

func TestLetterCarriesItsLinkAndNothingBecomesAHeader(t *testing.T) {
	m := store.Message{Kind: "link-again", Challenge: "Leaves\r\nBcc: thief@example.org", Token: "tok", To: "ana@example.org", Name: "Ana \"A\" Ruiz"}
	b, err := outbox.Write(text.For("en", nil), "Millrace", "https://x.example", m).File()
	require.NoError(t, err)
	msg, err := mail.ReadMessage(strings.NewReader(string(b)))
	require.NoError(t, err)
	require.Empty(t, msg.Header.Get("Bcc"))
	to, err := msg.Header.AddressList("To")
	require.NoError(t, err)
	require.Len(t, to, 1)
	require.Equal(t, "ana@example.org", to[0].Address)
	require.Contains(t, string(b), "https://x.example/entry/tok")
}

func TestEveryKindHasWords(t *testing.T) {
	for _, kind := range []string{"link-again", "entry-received", "entry-imported", "invite-cohost", "invite-reader", "invite-judge", "invite-voter"} {
		l := outbox.Write(text.For("en", nil), "S", "https://x.example", store.Message{Kind: kind, Challenge: "C", Token: "tok", To: "a@example.org", Name: "A"})
		require.NotEmpty(t, l.Subject, kind)
		require.Contains(t, l.Body, "/tok", kind)
	}
}

func TestServerAddressesAreExplained(t *testing.T) {
	_, err := outbox.ParseServer("mail.example.org", "a@example.org")
	require.ErrorContains(t, err, "smtp://")
	_, err = outbox.ParseServer("smtp://mail.example.org", "nobody")
	require.ErrorContains(t, err, "sender")
}

// TestRealExchange speaks SMTP (RFC 5321) with a server the test starts.
func TestRealExchange(t *testing.T) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer ln.Close()
	got := make(chan string, 1)
	go takeOneMail(ln, got)
	s, err := outbox.ParseServer("smtp://"+ln.Addr().String(), "Our Kitchen <kitchen@example.org>")
	require.NoError(t, err)
	l := outbox.Write(text.For("en", nil), "Millrace", "https://x.example", store.Message{Kind: "invite-judge", Challenge: "Leaves", Token: "tok", To: "ana@example.org", Name: "Ana"})
	require.NoError(t, s.Send(t.Context(), l))
	mail := <-got
	require.Contains(t, mail, "MAIL FROM:<kitchen@example.org>")
	require.Contains(t, mail, "RCPT TO:<ana@example.org>")
	require.Contains(t, mail, "https://x.example/with/judge/tok")
}

func takeOneMail(ln net.Listener, got chan<- string) {
	c, err := ln.Accept()
	if err != nil {
		return
	}
	defer c.Close()
	fmt.Fprint(c, "220 test\r\n")
	var all strings.Builder
	in, data := bufio.NewScanner(c), false
	for in.Scan() {
		line := in.Text()
		all.WriteString(line + "\n")
		switch {
		case data && line == ".":
			data = false
			fmt.Fprint(c, "250 taken\r\n")
		case data:
		case strings.HasPrefix(line, "DATA"):
			data = true
			fmt.Fprint(c, "354 go on\r\n")
		case strings.HasPrefix(line, "QUIT"):
			fmt.Fprint(c, "221 bye\r\n")
			got <- all.String()
			return
		default:
			fmt.Fprint(c, "250 ok\r\n")
		}
	}
}
