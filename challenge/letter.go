package challenge

import (
	"regexp"
	"slices"
	"strings"
)

// A Letter is how a kind of message is worded. Both parts hold placeholders,
// such as {name}, which [Letter.Fill] replaces. The zero value is none of the
// host's own.
type Letter struct{ Subject, Body string }

// Placeholders are what a letter may hold, as they are typed.
var Placeholders = []string{"{name}", "{challenge}", "{number}", "{title}", "{link}", "{community}"}

// Limits of a letter, in bytes.
const (
	MaxSubject = 200
	MaxBody    = 10_000
)

var placeholder = regexp.MustCompile(`\{[^{}\n]*\}`)

// Check refuses a letter that could not be sent as it is: one that is empty or
// too long, with a subject of several lines, with a placeholder that nothing
// fills, or without the private link it is sent for.
func (l Letter) Check(brings bool) error {
	var bad Refusals
	switch {
	case strings.TrimSpace(l.Subject) == "":
		bad.Add("subject", "Give the message a subject.")
	case strings.ContainsAny(l.Subject, "\r\n"):
		bad.Add("subject", "The subject is one line.")
	case len(l.Subject) > MaxSubject:
		bad.Add("subject", "The subject is too long: at most %v characters.", MaxSubject)
	case strings.Contains(l.Subject, "{link}"):
		bad.Add("subject", "The private link stands in the text, not in the subject: subjects are shown where others can see them.")
	}
	switch {
	case strings.TrimSpace(l.Body) == "":
		bad.Add("body", "Write what the message says.")
	case len(l.Body) > MaxBody:
		bad.Add("body", "The message is too long: at most %v characters.", MaxBody)
	case brings && !strings.Contains(l.Body, "{link}"):
		bad.Add("body", "Without {link} nobody gets to the private page. Put it on a line of its own.")
	}
	for field, text := range map[string]string{"subject": l.Subject, "body": l.Body} {
		for _, p := range placeholder.FindAllString(text, -1) {
			if !slices.Contains(Placeholders, p) {
				bad.Add(field, "Nothing fills %v. These can be used: %v.", p, strings.Join(Placeholders, " "))
				break
			}
		}
	}
	return bad.Err()
}

// Fill puts values, by placeholder, into the letter. What a value holds is
// never read as a placeholder, and a subject stays one line.
func (l Letter) Fill(values map[string]string) Letter {
	var pairs []string
	for _, p := range Placeholders {
		pairs = append(pairs, p, values[p])
	}
	r := strings.NewReplacer(pairs...)
	subject := strings.Join(strings.Fields(r.Replace(l.Subject)), " ")
	return Letter{Subject: subject, Body: r.Replace(l.Body)}
}
