package shortlist

import (
	"fmt"
	"strings"
)

// reason says in one sentence what an entry's readers said, and what
// calibration did to it.
func (l Line) reason(kind Kind) string {
	if l.Readings == 0 {
		return "Nobody has read it yet."
	}
	var parts []string
	word := ""
	for _, p := range []struct {
		n    int
		word string
	}{{l.Keep, "keep"}, {l.Maybe, "maybe"}, {l.Out, "out"}} {
		if p.n > 0 {
			word = p.word
			parts = append(parts, fmt.Sprintf("%s said %s", number(p.n), word))
		}
	}
	text := fmt.Sprintf("Of %s, %s", counted(l.Readings, "reader"), strings.Join(parts, ", "))
	if len(parts) == 1 {
		text = fmt.Sprintf("%s said %s", everybody(l.Readings), word)
	}
	if kind == Calibrated && l.Score-l.Plain >= noticeable {
		text += "; its readers are stricter than the others, so it counts for more"
	}
	if kind == Calibrated && l.Plain-l.Score >= noticeable {
		text += "; its readers are more lenient than the others, so it counts for less"
	}
	return text + "."
}

// Words state a locked rule in plain words.
func (r Rule) Words() string {
	text := "Out counts 0, maybe 1, keep 2, and an entry's score is the mean of its marks"
	if r.Kind == Calibrated {
		text = "Out counts 0, maybe 1, keep 2, and an entry's score is what an average reader would have given it: how strict each reader is, is worked out by least squares from the entries that readers share (plain means while fewer than three readers overlap)"
	}
	text += ". Of entries with the same score, more keeps come first, then fewer outs; "
	switch r.AtCut {
	case TakeAll:
		return text + "those still level at the end of the list all come in."
	case TakeNone:
		return text + "those still level at the end of the list do not come in."
	}
	return text + "for those still level at the end of the list a recorded draw decides."
}

// noticeable is how far calibration must move a score before the reason says so.
const noticeable = .1

func everybody(n int) string {
	switch n {
	case 1:
		return "The one reader"
	case 2:
		return "Both readers"
	}
	return "All " + number(n) + " readers"
}

func (s Shortlist) sentences() []string {
	var words []string
	say := func(format string, a ...any) { words = append(words, fmt.Sprintf(format, a...)) }
	in, unread := len(s.Chosen()), len(s.Lines)-s.read()
	say("%s of %s %s on the shortlist.", upper(number(in)), counted(len(s.Lines), "entry"), verb(in, "is", "are"))
	if s.Rule.Kind == Calibrated && s.Used == Plain && s.read() > 0 {
		say("Fewer than three readers share entries, so strict and lenient ones cannot be told apart: plain means are used.")
	}
	if s.Groups > 1 && s.Used == Calibrated {
		say("The readers fall into %s groups that have no entry in common, so entries of different groups cannot be compared; every group is taken to be equally good on average. One reader who reads a few entries of each group would link them.", number(s.Groups))
	}
	if len(s.Undecided) > 0 {
		say("%s stand level at the cut for %s: a recorded draw decides.", upper(counted(len(s.Undecided), "entry")), counted(s.Places, "place"))
	}
	if unread > 0 {
		say("%s %s no reading yet and cannot be in.", upper(counted(unread, "entry")), verb(unread, "has", "have"))
	}
	s.otherwise(say)
	return words
}

// otherwise says what the other kind of score would change, up to a number of
// entries that can be read.
func (s Shortlist) otherwise(say func(string, ...any)) {
	if s.Instead == nil {
		return
	}
	by := map[Kind]string{Plain: "plain means", Calibrated: "scores corrected for strict and lenient readers"}[s.Instead.Kind]
	in, out := len(s.Instead.In), len(s.Instead.Out)
	switch {
	case in+out == 0:
		say("By %s the same entries would be in.", by)
	case in > 6 || out > 6:
		say("By %s %s would come in and %s drop out.", by, counted(in, "entry"), number(out))
	case out == 0:
		say("By %s %s would be in as well.", by, named(s.Instead.In))
	case in == 0:
		say("By %s %s would not be in.", by, named(s.Instead.Out))
	default:
		say("By %s %s would be in, and %s would not.", by, named(s.Instead.In), named(s.Instead.Out))
	}
}

// named lists entries by number: "No. 3, No. 9 and No. 17".
func named(entries []int64) string {
	var names []string
	for _, e := range entries {
		names = append(names, fmt.Sprintf("No. %d", e))
	}
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

func number(n int) string {
	small := []string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n >= 0 && n < len(small) {
		return small[n]
	}
	return fmt.Sprint(n)
}

func counted(n int, noun string) string {
	switch {
	case n == 1:
		return "one " + noun
	case strings.HasSuffix(noun, "y"):
		return number(n) + " " + strings.TrimSuffix(noun, "y") + "ies"
	}
	return number(n) + " " + noun + "s"
}

func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
