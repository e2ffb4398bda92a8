package outbox

import (
	"bytes"
	"fmt"
	"net/mail"
	"strconv"

	gomail "github.com/wneessen/go-mail"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
)

// A Letter is a message in plain text, ready to be sent.
type Letter struct {
	To      mail.Address
	Subject string
	Body    string
	Stop    string // the address that ends such messages, "" for none
}

// Write words a message in a voice, or as its host worded it. site is the
// community's name and base the public address its links begin with.
func Write(v text.Voice, site, base string, m store.Message) Letter {
	k, _ := KindOf(m.Kind)
	words := k.usual(v)
	if m.Own.Subject != "" {
		words = m.Own
	}
	words = words.Fill(map[string]string{"{name}": m.Name, "{challenge}": m.Challenge, "{number}": strconv.Itoa(m.Number), "{title}": m.Title,
		"{link}": base + k.path + m.Token, "{community}": site})
	l := Letter{To: mail.Address{Name: m.Name, Address: m.To}, Subject: words.Subject, Body: words.Body + "\n"}
	if m.Stop != "" {
		l.Stop = base + "/stop/" + m.Stop
		l.Body += "\n-- \n" + v.T("To get no more messages like this from %v, open %v", site, l.Stop) + "\n"
	}
	return l
}

// usual are the words of the catalogue.
func (k Kind) usual(v text.Voice) challenge.Letter {
	return challenge.Letter{Subject: v.T(k.Subject), Body: v.T(k.Body)}
}

// Usual words a kind of message as the catalogue does, its placeholders open.
func Usual(v text.Voice, k Kind) challenge.Letter { return k.usual(v) }

// File is the letter as a .eml file.
func (l Letter) File() ([]byte, error) {
	m, err := l.message()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if _, err := m.WriteTo(&b); err != nil {
		return nil, fmt.Errorf("write message: %w", err)
	}
	return b.Bytes(), nil
}

// message leaves names and subjects to the library's encoding, so that nothing
// typed can become a header.
func (l Letter) message() (*gomail.Msg, error) {
	m := gomail.NewMsg(gomail.WithNoDefaultUserAgent())
	if err := m.To(l.To.String()); err != nil {
		return nil, fmt.Errorf("recipient: %w: %w", errUnwritable, err)
	}
	m.Subject(l.Subject)
	m.SetBodyString(gomail.TypeTextPlain, l.Body)
	m.AddAlternativeString(gomail.TypeTextHTML, asHTML(l.Body))
	if l.Stop != "" {
		m.SetGenHeader(gomail.HeaderListUnsubscribe, "<"+l.Stop+">")
		m.SetGenHeader(gomail.HeaderListUnsubscribePost, "List-Unsubscribe=One-Click") // RFC 8058
	}
	return m, nil
}
