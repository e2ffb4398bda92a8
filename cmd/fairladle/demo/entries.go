package demo

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"
	"time"
)

// entries reads the recipes of a challenge in the order of their numbers.
func entries(files fs.FS, c Challenge) ([]Entry, error) {
	names, err := fs.Glob(files, path.Join("entries", c.Slug, "*.txt"))
	if err != nil {
		return nil, err
	}
	var out []Entry
	for i, name := range names {
		head, text, err := split(files, name)
		if err != nil {
			return nil, err
		}
		e, err := entry(head, text)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		number, slug, _ := strings.Cut(strings.TrimSuffix(path.Base(name), ".txt"), "-")
		if e.Number, err = strconv.Atoi(number); err != nil || e.Number != i+1 {
			return nil, fmt.Errorf("%s: number %d was to be next", name, i+1)
		}
		e.Slug, e.Sent = slug, sent(c, i, len(names))
		out = append(out, e)
	}
	return out, nil
}

// sent spreads the entries over the time that the challenge is, or was, open.
func sent(c Challenge, i, n int) time.Duration {
	end := min(c.Closes, 0)
	step := (end - c.Opens) / time.Duration(n+1)
	// A few minutes each way, so that no two look sent by a clock.
	wander := time.Duration(i*i*37%113-56) * time.Minute / 2
	return (c.Opens + step*time.Duration(i+1) + wander).Truncate(time.Minute)
}

func entry(head map[string]string, text string) (Entry, error) {
	e := Entry{
		Name: head["name"], Email: head["email"], Credit: head["credit"], Spoken: head["spoken"],
		Picture: Subject(head["photo"]), Odd: head["odd"], Text: text,
	}
	for _, word := range strings.Fields(head["consents"]) {
		if word == "guardian" {
			e.Guardian = true
			continue
		}
		e.Consents = append(e.Consents, word)
	}
	origin, of, _ := strings.Cut(head["origin"], ":")
	e.Origin, e.OriginOf = origin, strings.TrimSpace(of)
	if e.Name == "" || e.Email == "" || e.Origin == "" || strings.TrimSpace(text) == "" {
		return e, errors.New("name, email, origin or text is missing")
	}
	return e, nil
}

// split parts the header lines of a file from the text under them.
func split(files fs.FS, name string) (head map[string]string, text string, err error) {
	b, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, "", err
	}
	top, text, ok := strings.Cut(string(b), "\n---\n")
	if !ok {
		return nil, "", fmt.Errorf("%s: no line --- after the header", name)
	}
	head = map[string]string{}
	for line := range strings.SplitSeq(top, "\n") {
		key, value, ok := strings.Cut(line, ": ")
		if !ok {
			return nil, "", fmt.Errorf("%s: header line %q", name, line)
		}
		head[key] = strings.TrimSpace(value)
	}
	return head, text, nil
}

func houseDishes(files fs.FS, slug string) ([]HouseDish, error) {
	names, err := fs.Glob(files, path.Join("house", "*.txt"))
	if err != nil {
		return nil, err
	}
	var out []HouseDish
	for _, name := range names {
		head, text, err := split(files, name)
		if err != nil {
			return nil, err
		}
		if head["challenge"] == slug {
			out = append(out, HouseDish{Title: head["title"], Cook: head["cook"], Text: text})
		}
	}
	return out, nil
}
