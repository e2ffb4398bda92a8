package ballot

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// OptionNumber names an option by its number: "No. 17".
func OptionNumber(option int64) string { return fmt.Sprintf("No. %d", option) }

// Sentences tells the result in plain words; name says how to call an option.
func (r Result) Sentences(name func(int64) string) []string {
	var words []string
	say := func(format string, a ...any) { words = append(words, capital(fmt.Sprintf(format, a...))) }
	if r.Counted == 0 {
		say("No vote was cast for anything on the list.")
		return words
	}
	if winner, ok := r.Winner(); ok {
		r.winning(say, winner, name)
	} else {
		say("%s are level in front.", join(r.Order[0], name))
	}
	r.dropped(say, name)
	for _, group := range r.NeedsDraw {
		say("Votes cannot put %s in order: a recorded draw decides.", join(group, name))
	}
	if r.Blank > 0 {
		say("%s blank.", were(r.Blank))
	}
	if r.Spoilt > 0 {
		say("%s could not be read as a vote.", strings.TrimSuffix(strings.TrimSuffix(were(r.Spoilt), " was"), " were"))
	}
	return words
}

func (r Result) winning(say func(string, ...any), winner int64, name func(int64) string) {
	switch r.Method {
	case OneChoice:
		say("%s won with %d of %d votes.", name(winner), r.votes(winner), r.Counted)
	case Approval:
		say("%s won: %d of %d voters named it.", name(winner), r.votes(winner), r.Counted)
	case Runoff:
		say("%s won the run-off.", name(winner))
	case Schulze:
		say("%s won: no other option beats it when they are compared pair by pair.", name(winner))
	}
}

func (r Result) votes(option int64) int {
	for _, c := range r.Counts {
		if c.Option == option {
			return c.Votes
		}
	}
	return 0
}

var dropWords = map[OutBy]string{
	OutByVotes:    "with the fewest votes",
	OutByEarlier:  "level with others at the bottom, and behind them in an earlier round",
	OutByDuels:    "level with others at the bottom, and preferred less often in direct comparison",
	OutByDraw:     "level with others at the bottom, by the recorded draw",
	OutByTogether: "level at the bottom; even together they have fewer votes than any other",
}

func (r Result) dropped(say func(string, ...any), name func(int64) string) {
	for n, round := range r.Rounds {
		if round.By != "" {
			verb := "drops"
			if len(round.Out) > 1 {
				verb = "drop"
			}
			say("Round %d: %s %s out, %s.", n+1, join(round.Out, name), verb, dropWords[round.By])
		}
	}
}

func were(n int) string {
	if n == 1 {
		return "One ballot was"
	}
	return fmt.Sprintf("%d ballots were", n)
}

func join(options []int64, name func(int64) string) string {
	var names []string
	for _, o := range options {
		names = append(names, name(o))
	}
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}
