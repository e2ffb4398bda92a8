package challenge

import (
	"net/mail"
	"strings"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
)

// AddressKey is the form in which two mail addresses are compared: case and
// outer blanks do not count, nor does a "+tag" before the @, since most
// providers deliver both to one person. It refuses what is no address.
func AddressKey(typed string) (string, error) {
	a, err := mail.ParseAddress(strings.TrimSpace(typed))
	if err != nil || a.Name != "" || len(a.Address) > 254 || strings.ContainsAny(a.Address, "\r\n") {
		return "", Refuse(Invalid, "email", "This does not look like an e-mail address. Check it for typing errors.")
	}
	local, domain, _ := strings.Cut(strings.ToLower(a.Address), "@")
	if !strings.Contains(domain, ".") {
		return "", Refuse(Invalid, "email", "This does not look like an e-mail address. Check the part after the @.")
	}
	if i := strings.IndexByte(local, '+'); i > 0 {
		local = local[:i]
	}
	return local + "@" + domain, nil
}

// plainLetters takes accents off letters: é becomes e.
func plainLetters(s string) string {
	t := transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn)), norm.NFC)
	out, _, err := transform.String(t, s)
	if err != nil {
		return s
	}
	return out
}
