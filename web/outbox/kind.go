package outbox

import "fairladle/challenge/wording"

// A Kind is a sort of message. Its usual words stand in the catalogue, with
// the placeholders of challenge.Letter; a host may word it anew.
type Kind struct {
	ID            string
	Name          string // what the host's pages call it
	Subject, Body string
	path          string // before the token in its link
	Link          bool   // the link is why it is sent
	Site          bool   // belongs to no challenge
	Many          bool   // goes to many at once, when the host releases it
}

// Kinds are all messages there are, in the order of a challenge.
var Kinds = []Kind{
	{ID: "link-again", Name: wording.Key("private link again"), path: "/entry/", Link: true,
		Subject: wording.Key("Your private link – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nhere is the private link of your entry to “{challenge}”:\n\n{link}\n\nWhoever has it can change or withdraw the entry, so keep it to yourself. If you did not ask for it, you need do nothing.\n\n{community}")},
	{ID: "own-entries", Site: true, Name: wording.Key("all entries of an address"), path: "/mine/", Link: true,
		Subject: wording.Key("All your entries – {community}"),
		Body:    wording.Key("Hello {name},\n\nhere is the private link to all entries that were sent from this address:\n\n{link}\n\nWhoever has it can open them, so keep it to yourself. If you did not ask for it, you need do nothing.\n\n{community}")},
	{ID: "entry-received", Name: wording.Key("entry received"), path: "/entry/", Link: true,
		Subject: wording.Key("Your recipe was received – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthank you for your recipe for “{challenge}”. This is its private link:\n\n{link}\n\nThere you can look at it, change it until entries close, change what you agreed to, keep your entry slip, or take the recipe back. Whoever has the link can do so, so keep it to yourself.\n\n{community}")},
	{ID: "entry-imported", Name: wording.Key("entry brought in, to be agreed to"), path: "/entry/", Link: true,
		Subject: wording.Key("Your recipe takes part once you agree – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthank you for the recipe that you sent in for “{challenge}”. It was brought in from there by the host. Please open your private link:\n\n{link}\n\nLook whether we read your recipe right, say how you want to be named, and what you agree to. Until you have agreed to take part your recipe can be read, but it goes no further and is not published. Whoever has the link can change these answers, so keep it to yourself. If you did not send a recipe, you need do nothing.\n\n{community}")},
	{ID: "invite-cohost", Name: wording.Key("invitation, co-host"), path: "/with/cohost/", Link: true,
		Subject: wording.Key("Co-host of “{challenge}”"),
		Body:    wording.Key("Hello {name},\n\nyou are invited as co-host of “{challenge}”. This link is yours alone:\n\n{link}\n\nIt shows what there is to read and pick. Keep it; it works until the challenge is over.\n\n{community}")},
	{ID: "invite-reader", Name: wording.Key("invitation, reader"), path: "/with/reader/", Link: true,
		Subject: wording.Key("Reader for “{challenge}”"),
		Body:    wording.Key("Hello {name},\n\nyou are invited to read the recipes of “{challenge}”, without the names of those who sent them. This link is yours alone:\n\n{link}\n\n{community}")},
	{ID: "invite-judge", Name: wording.Key("invitation, judge"), path: "/with/judge/", Link: true,
		Subject: wording.Key("Judge of “{challenge}”"),
		Body:    wording.Key("Hello {name},\n\nyou are invited to taste and score for “{challenge}”. This link is yours alone:\n\n{link}\n\n{community}")},
	{ID: "invite-voter", Name: wording.Key("invitation to vote"), path: "/vote/", Link: true,
		Subject: wording.Key("Your vote – {challenge}"),
		Body:    wording.Key("Hello,\n\nyou are invited to vote in “{challenge}”. This link is yours alone and takes one ballot:\n\n{link}\n\nWhat you choose is stored apart from this link. If you did not expect this message, you need do nothing.\n\n{community}")},
	{ID: "question", Name: wording.Key("question to an entrant"), path: "/entry/", Link: true,
		Subject: wording.Key("A question about your recipe – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthere is a question about your recipe for “{challenge}”. It stands on your private page, and you can answer it there:\n\n{link}\n\nWhoever asks does not learn who you are.\n\n{community}")},
	{ID: "entry-news", Name: wording.Key("news for an entrant"), path: "/entry/", Link: true,
		Subject: wording.Key("News about your entry – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthere is news about your entry to “{challenge}”. It stands on your private page:\n\n{link}\n\n{community}")},
	{ID: "pick-reminder", Name: wording.Key("reminder of the pick"), path: "/with/cohost/", Link: true,
		Subject: wording.Key("The pick is waiting for you – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthe shortlist of “{challenge}” waits for your pick, and the time for it ends soon. This link leads there:\n\n{link}\n\nThis is the only reminder.\n\n{community}")},
	{ID: "pick-stand-in", Name: wording.Key("stand-in for the pick"), path: "/with/cohost/", Link: true,
		Subject: wording.Key("Please make the pick – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthe time for the pick of “{challenge}” has run out without one, and you are named to make it instead. This link leads there:\n\n{link}\n\n{community}")},
	{ID: "shortlisted", Name: wording.Key("shortlisted"), path: "/entry/", Link: true, Many: true,
		Subject: wording.Key("Your recipe goes on – {challenge}"),
		Body:    wording.Key("Hello {name},\n\ngood news: your recipe No. {number}, “{title}”, goes on in “{challenge}”. What happens next stands on your private page:\n\n{link}\n\nThank you for taking part.\n\n{community}")},
	{ID: "not-this-time", Name: wording.Key("not this time"), path: "/entry/", Link: true, Many: true,
		Subject: wording.Key("Not this time – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthank you for your recipe No. {number}, “{title}”. It was read with care, and this time others go on in “{challenge}”. Your private page stays where it is:\n\n{link}\n\nWe hope to read from you again.\n\n{community}")},
	{ID: "drawn", Name: wording.Key("drawn"), path: "/entry/", Link: true, Many: true,
		Subject: wording.Key("Your recipe was drawn – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nyour recipe No. {number}, “{title}”, was drawn in “{challenge}”. What that means, and whether there is something for you to do, stands on your private page:\n\n{link}\n\n{community}")},
	{ID: "result", Name: wording.Key("result"), path: "/entry/", Link: true, Many: true,
		Subject: wording.Key("The results are out – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthe results of “{challenge}” are out. Your private page leads to them and says what became of your recipe:\n\n{link}\n\nThank you for taking part.\n\n{community}")},
	{ID: "prize-offer", Name: wording.Key("prize offered"), path: "/entry/", Link: true,
		Subject: wording.Key("A prize for you – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthere is a prize for your entry to “{challenge}”. Your private page says what it is and until when you can accept it:\n\n{link}\n\nNobody asks you for money, and an address is asked for on that page alone, once you have accepted.\n\n{community}")},
	{ID: "reminder-reader", Name: wording.Key("reminder to a reader"), path: "/with/reader/", Link: true, Many: true,
		Subject: wording.Key("Recipes wait for you – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nsome recipes of “{challenge}” still wait for your marks. This link leads to them; links you were sent before work as well:\n\n{link}\n\n{community}")},
	{ID: "reminder-judge", Name: wording.Key("reminder to a judge"), path: "/with/judge/", Link: true, Many: true,
		Subject: wording.Key("A tasting sheet waits for you – {challenge}"),
		Body:    wording.Key("Hello {name},\n\nthe tasting of “{challenge}” is open, and no sheet of yours is sealed yet. This link leads to your plates; links you were sent before work as well:\n\n{link}\n\n{community}")},
}

// KindOf finds a kind by its id.
func KindOf(id string) (Kind, bool) {
	for _, k := range Kinds {
		if k.ID == id {
			return k, true
		}
	}
	return Kind{}, false
}
