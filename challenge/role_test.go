package challenge_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

// everyone lists the whole matrix by hand, role by role, so that a permission
// added to the code without thought fails here.
var everyone = map[challenge.Role]map[challenge.Action]bool{
	challenge.Public:  {challenge.SeePublic: true, challenge.SendEntry: true, challenge.CastBallot: true},
	challenge.Voter:   {challenge.SeePublic: true, challenge.SendEntry: true, challenge.CastBallot: true},
	challenge.Entrant: {challenge.SeePublic: true, challenge.SendEntry: true, challenge.CastBallot: true, challenge.KeepEntry: true},
	challenge.Judge:   {challenge.SeePublic: true, challenge.ScorePlate: true},
	challenge.Reader:  {challenge.SeePublic: true, challenge.ReadBlind: true, challenge.MarkEntry: true},
	challenge.Cohost: {challenge.SeePublic: true, challenge.ReadBlind: true, challenge.MarkEntry: true, challenge.MakePick: true,
		challenge.SeeField: true, challenge.SeeMarks: true, challenge.ConfirmRoll: true},
	challenge.Host: {challenge.SeePublic: true, challenge.ReadBlind: true, challenge.MarkEntry: true, challenge.SeeField: true,
		challenge.SeeMarks: true, challenge.RunDraw: true, challenge.ConfirmRoll: true, challenge.SeeAddress: true, challenge.RunRound: true,
		challenge.EditChallenge: true, challenge.RunServer: true, challenge.ScorePlate: true},
}

func TestEveryRoleAndAction(t *testing.T) {
	require.Len(t, everyone, len(challenge.Roles))
	for _, role := range challenge.Roles {
		for _, do := range challenge.Actions {
			err := challenge.May(challenge.Actor{Role: role, ID: 1, Challenge: 7}, do, 7)
			require.Equal(t, everyone[role][do], err == nil, "%s %s", role, do)
		}
	}
}

func TestALinkHoldsForItsOwnChallenge(t *testing.T) {
	judge := challenge.Actor{Role: challenge.Judge, ID: 1, Challenge: 7}
	require.NoError(t, challenge.May(judge, challenge.ScorePlate, 7))
	require.ErrorContains(t, challenge.May(judge, challenge.ScorePlate, 8), "another challenge")
	require.NoError(t, challenge.May(challenge.Actor{Role: challenge.Host, ID: 1}, challenge.RunRound, 8))
}
