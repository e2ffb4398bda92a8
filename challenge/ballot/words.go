package ballot

import "fairladle/challenge/wording"

// A Namer says how to call an option in the middle of a sentence: a string, or
// a wording.Sentence.
type Namer func(option int64) any

// OptionNumber names an option by its number: "No. 17".
func OptionNumber(option int64) any { return wording.Of("No. %v", int(option)) }

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
func (f FinalRule) Words() wording.Sentence {
	switch f.Say {
	case SayJudges:
		return wording.Of("The judges decide; the audience's favourite is announced beside their verdict.")
	case SayAudience:
		return wording.Of("The audience decides, and what its votes leave level stays level; the judges' verdict is announced beside it.")
	}
	level := wording.Of("where two are level, the judges decide")
	if f.Level == SayAudience {
		level = wording.Of("where two are level, the audience decides")
	}
	return wording.Of("The audience counts %v per cent and the judges %v: each side gives a dish the share of the other dishes that it places lower; %v.",
		f.Audience, 100-f.Audience, level)
}

// Sentences tells the result in plain words.
func (r Result) Sentences(name Namer) []wording.Sentence {
	if r.Counted == 0 {
		return []wording.Sentence{wording.Of("No vote was cast for anything on the list.")}
	}
	var words []wording.Sentence
	if winner, ok := r.Winner(); ok {
		words = append(words, r.winning(winner, name))
	} else {
		words = append(words, wording.Of("%v are level in front.", join(r.Order[0], name)))
	}
	words = append(words, r.dropped(name)...)
	for _, group := range r.Level {
		words = append(words, wording.Of("Votes cannot put %v in order.", join(group, name)))
	}
	if r.Blank > 0 {
		words = append(words, wording.Count(r.Blank, "One ballot was blank.", "%v ballots were blank."))
	}
	if r.Spoilt > 0 {
		words = append(words, wording.Count(r.Spoilt, "One ballot could not be read as a vote.", "%v ballots could not be read as a vote."))
	}
	return words
}

func (r Result) winning(winner int64, name Namer) wording.Sentence {
	switch {
	case r.Method == OneChoice:
		return wording.Of("%v won with %v of %v votes.", name(winner), r.votes(winner), r.Counted)
	case r.Method == Approval:
		return wording.Of("%v won: %v of %v voters named it.", name(winner), r.votes(winner), r.Counted)
	case r.Method == Runoff:
		return wording.Of("%v won the run-off.", name(winner))
	case r.beatsAll(winner):
		return wording.Of("%v won: compared pair by pair, more voters put it above each of the others than below.", name(winner))
	}
	return wording.Of("%v won. No dish beats all others pair by pair, so chains of pairs decide: to every other dish it has a chain at least as strong as any chain back.", name(winner))
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
	OutByVotes:    wording.Key("with the fewest votes"),
	OutByEarlier:  wording.Key("level with others at the bottom, and behind them in an earlier round"),
	OutByDuels:    wording.Key("level with others at the bottom, and preferred less often in direct comparison"),
	OutByTogether: wording.Key("level at the bottom; even together they have fewer votes than any other"),
}

func (r Result) dropped(name Namer) (words []wording.Sentence) {
	for n, round := range r.Rounds {
		why := wording.Of(dropWords[round.By])
		switch {
		case round.By == "":
		case len(round.Out) == 1:
			words = append(words, wording.Of("Round %v: %v drops out, %v.", n+1, name(round.Out[0]), why))
		default:
			words = append(words, wording.Of("Round %v: %v drop out, %v.", n+1, join(round.Out, name), why))
		}
	}
	if n := len(r.Rounds); n > 0 && r.Rounds[n-1].Exhausted > 0 {
		words = append(words, wording.Of("In the last round %v of %v ballots named none of the options left.", r.Rounds[n-1].Exhausted, r.Counted))
	}
	return words
}

func join(options []int64, name Namer) wording.List {
	list := make(wording.List, len(options))
	for n, o := range options {
		list[n] = name(o)
	}
	return list
}
