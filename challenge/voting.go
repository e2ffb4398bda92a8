package challenge

import (
	"slices"

	"fairladle/challenge/ballot"
)

// Voting is how the ballots of a vote are cast and counted; one choice where
// the host chose nothing.
func (p Params) Voting() ballot.Method {
	if p.VoteMethod == "" {
		return ballot.OneChoice
	}
	return p.VoteMethod
}

// FinalSay is who has how much say in the final result; the audience where the
// host chose nothing.
func (p Params) FinalSay() ballot.FinalRule {
	if p.Final == nil {
		return ballot.FinalRule{Say: ballot.SayAudience}
	}
	return *p.Final
}

func (p Params) checkVote(bad *Refusals) {
	if p.VoteHours < 1 || p.VoteHours > 24*60 {
		bad.Add("vote_hours", "Say how many hours the vote stays open: from 1 to 1440.")
	}
	if !slices.Contains(ballot.Methods(), p.Voting()) {
		bad.Add("vote_method", "Choose how ballots are cast and counted.")
	}
	switch say := p.FinalSay(); {
	case say.Check() == nil:
	case say.Say == ballot.SayWeighted:
		bad.Add("audience_share", "Say how many per cent the audience counts: a whole number from 1 to 99.")
	default:
		bad.Add("final", "Choose who decides the final result.")
	}
}
