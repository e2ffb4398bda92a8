package challenge

import "time"

// Role is what somebody is to a challenge.
type Role string

// The roles. Public is everyone without a link or a password.
const (
	Public  Role = "public"
	Entrant Role = "entrant"
	Voter   Role = "voter"
	Judge   Role = "judge"
	Reader  Role = "reader"
	Cohost  Role = "cohost"
	Host    Role = "host"
)

// Roles lists every role.
var Roles = []Role{Public, Entrant, Voter, Judge, Reader, Cohost, Host}

// An Actor is who asks: a role, who it is within the role (a host's account, a
// participant, an entry), and the challenge the role holds for. A host's
// account holds for every challenge of the server; Challenge is then 0.
type Actor struct {
	Role      Role
	ID        int64
	Challenge int64
}

// How long private links work after a challenge's results are released, or
// after they were made where that is later.
const (
	HelpersLinkLife  = 30 * 24 * time.Hour
	EntrantsLinkLife = 365 * 24 * time.Hour
)

// Action is something that not everybody may do.
type Action string

// The actions.
const (
	SeePublic     Action = "see-public"     // public pages, the public ledger
	SendEntry     Action = "send-entry"     // submit a recipe
	KeepEntry     Action = "keep-entry"     // look at, change, withdraw one's own entry
	CastBallot    Action = "cast-ballot"    // vote
	ReadBlind     Action = "read-blind"     // read masked entries
	MarkEntry     Action = "mark-entry"     // keep, maybe, leave out
	MakePick      Action = "make-pick"      // choose and seal the finalists
	ScorePlate    Action = "score-plate"    // fill and seal sheets
	SeeField      Action = "see-field"      // the list of all entries, masked
	SeeMarks      Action = "see-marks"      // what others marked
	RunDraw       Action = "run-draw"       // freeze, roll, reveal
	ConfirmRoll   Action = "confirm-roll"   // second pair of eyes on a roll
	SeeAddress    Action = "see-address"    // who sent an entry; every look is logged
	RunRound      Action = "run-round"      // open and close rounds, plates, house dishes
	EditChallenge Action = "edit-challenge" // settings, rounds, invitations, release
	RunServer     Action = "run-server"     // public address, accounts, outbox
)

// Actions lists every action.
var Actions = []Action{SeePublic, SendEntry, KeepEntry, CastBallot, ReadBlind, MarkEntry, MakePick, ScorePlate, SeeField,
	SeeMarks, RunDraw, ConfirmRoll, SeeAddress, RunRound, EditChallenge, RunServer}

var permitted = map[Role][]Action{
	Public:  {SeePublic, SendEntry, CastBallot},
	Entrant: {SeePublic, SendEntry, CastBallot, KeepEntry},
	Voter:   {SeePublic, SendEntry, CastBallot},
	Judge:   {SeePublic, ScorePlate},
	Reader:  {SeePublic, ReadBlind, MarkEntry},
	Cohost:  {SeePublic, ReadBlind, MarkEntry, MakePick, SeeField, SeeMarks, ConfirmRoll},
	Host: {SeePublic, ReadBlind, MarkEntry, SeeField, SeeMarks, RunDraw, ConfirmRoll, SeeAddress, RunRound,
		EditChallenge, RunServer, ScorePlate},
}

// May is the one place that decides who may do what: nil, or a refusal. Of
// is the challenge it is about, 0 for what belongs to the whole server.
func May(a Actor, do Action, of int64) error {
	if a.Role != Host && a.Role != Public && a.Challenge != of {
		return Refuse(Barred, "", "This link belongs to another challenge.")
	}
	for _, p := range permitted[a.Role] {
		if p == do {
			return nil
		}
	}
	if a.Role == Public {
		return Refuse(Barred, "", "Sign in, or open the private link you were sent, to see this page.")
	}
	return Refuse(Barred, "", "This is not something your link can do.")
}
