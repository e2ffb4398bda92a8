package ballot

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// OptionNumber names an option by its number: "No. 17".
func OptionNumber(option int64) string { return fmt.Sprintf("No. %d", option) }

// Words state a method: what the voter does, and how it is counted.
func (m Method) Words() string {
	switch m {
	case OneChoice:
		return "Choose one. The one with the most votes wins."
	case Approval:
		return "Tick every one you like, as many as you want. The one that most voters ticked wins."
	case Runoff:
		return "Put them in order, your favourite first; you may stop early. The one that fewest voters have first drops out, and those votes move on to the next choice, until one is left."
	case Schulze:
		return "Put them in order, your favourite first; you may stop early. Every two are compared on all ballots; the one that beats all others wins, and if there is none, the strongest chains of such comparisons decide."
	}
	return ""
}

// Words state who has a say in the final result.
func (f FinalRule) Words() string {
	switch f.Say {
	case SayJudges:
		return "The judges decide; the audience's favourite is announced beside their verdict."
	case SayAudience:
		return "The audience decides; the judges' verdict is announced beside it."
	}
	level := "a recorded draw parts what is level"
	if f.Level != "" {
		level = "where two are level, the " + string(f.Level) + " decide"
		if f.Level == SayAudience {
			level = "where two are level, the audience decides"
		}
	}
	return fmt.Sprintf("The audience counts %d per cent and the judges %d: each side gives a dish the share of the other dishes that it places lower; %s.",
		f.Audience, 100-f.Audience, level)
}

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
		if r.beatsAll(winner) {
			say("%s won: compared pair by pair, more voters put it above each of the others than below.", name(winner))
		} else {
			say("%s won. No dish beats all others pair by pair, so chains of pairs decide: to every other dish it has a chain at least as strong as any chain back.", name(winner))
		}
	}
}

// beatsAll reports whether an option wins every pair.
func (r Result) beatsAll(option int64) bool {
	x := -1
	for n, c := range r.Counts {
		if c.Option == option {
			x = n
		}
	}
	for y := range r.Pairs {
		if x < 0 || y != x && r.Pairs[x][y] <= r.Pairs[y][x] {
			return false
		}
	}
	return true
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
	if n := len(r.Rounds); n > 0 && r.Rounds[n-1].Exhausted > 0 {
		say("In the last round %d of %d ballots named none of the options left.", r.Rounds[n-1].Exhausted, r.Counted)
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
