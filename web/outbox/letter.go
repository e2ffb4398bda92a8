package outbox

import (
	"bytes"
	"fmt"
	"net/mail"

	gomail "github.com/wneessen/go-mail"

	"fairladle/store"
	"fairladle/web/text"
)

// A Letter is a message in plain text, ready to be sent.
type Letter struct {
	To      mail.Address
	Subject string
	Body    string
}

// Write words a message in a voice. site is the community's name and base the
// public address its links begin with.
func Write(v text.Voice, site, base string, m store.Message) Letter {
	l := Letter{To: mail.Address{Name: m.Name, Address: m.To}}
	switch m.Kind {
	case "link-again":
		l.Subject = v.T("Your private link – %v", m.Challenge)
		l.Body = v.T("Hello %v,\n\nhere is the private link of your entry to “%v”:\n\n%v\n\nWhoever has it can change or withdraw the entry, so keep it to yourself. If you did not ask for it, you need do nothing.\n\n%v\n",
			m.Name, m.Challenge, base+"/entry/"+m.Token, site)
	case "own-entries":
		l.Subject = v.T("All your entries – %v", site)
		l.Body = v.T("Hello %v,\n\nhere is the private link to all entries that were sent from this address:\n\n%v\n\nWhoever has it can open them, so keep it to yourself. If you did not ask for it, you need do nothing.\n\n%v\n",
			m.Name, base+"/mine/"+m.Token, site)
	case "entry-received":
		l.Subject = v.T("Your recipe was received – %v", m.Challenge)
		l.Body = v.T("Hello %v,\n\nthank you for your recipe for “%v”. This is its private link:\n\n%v\n\nThere you can look at it, change it until entries close, change what you agreed to, keep your entry slip, or take the recipe back. Whoever has the link can do so, so keep it to yourself.\n\n%v\n",
			m.Name, m.Challenge, base+"/entry/"+m.Token, site)
	case "entry-imported":
		l.Subject = v.T("Your recipe takes part once you agree – %v", m.Challenge)
		l.Body = v.T("Hello %v,\n\nthank you for the recipe that you sent in for “%v”. It was brought in from there by the host. Please open your private link:\n\n%v\n\nLook whether we read your recipe right, say how you want to be named, and what you agree to. Until you have agreed to take part your recipe can be read, but it goes no further and is not published. Whoever has the link can change these answers, so keep it to yourself. If you did not send a recipe, you need do nothing.\n\n%v\n",
			m.Name, m.Challenge, base+"/entry/"+m.Token, site)
	case "invite-cohost":
		l.Subject = v.T("Co-host of “%v”", m.Challenge)
		l.Body = v.T("Hello %v,\n\nyou are invited as co-host of “%v”. This link is yours alone:\n\n%v\n\nIt shows what there is to read and pick. Keep it; it works until the challenge is over.\n\n%v\n",
			m.Name, m.Challenge, base+"/with/cohost/"+m.Token, site)
	case "invite-reader":
		l.Subject = v.T("Reader for “%v”", m.Challenge)
		l.Body = v.T("Hello %v,\n\nyou are invited to read the recipes of “%v”, without the names of those who sent them. This link is yours alone:\n\n%v\n\n%v\n",
			m.Name, m.Challenge, base+"/with/reader/"+m.Token, site)
	case "invite-voter":
		l.Subject = v.T("Your vote – %v", m.Challenge)
		l.Body = v.T("Hello,\n\nyou are invited to vote in “%v”. This link is yours alone and takes one ballot:\n\n%v\n\nWhat you choose is stored apart from this link. If you did not expect this message, you need do nothing.\n\n%v\n",
			m.Challenge, base+"/vote/"+m.Token, site)
	case "question":
		l.Subject = v.T("A question about your recipe – %v", m.Challenge)
		l.Body = v.T("Hello %v,\n\nthere is a question about your recipe for “%v”. It stands on your private page, and you can answer it there:\n\n%v\n\nWhoever asks does not learn who you are.\n\n%v\n",
			m.Name, m.Challenge, base+"/entry/"+m.Token, site)
	case "entry-news":
		l.Subject = v.T("News about your entry – %v", m.Challenge)
		l.Body = v.T("Hello %v,\n\nthere is news about your entry to “%v”. It stands on your private page:\n\n%v\n\n%v\n",
			m.Name, m.Challenge, base+"/entry/"+m.Token, site)
	case "pick-reminder":
		l.Subject = v.T("The pick is waiting for you – %v", m.Challenge)
		l.Body = v.T("Hello %v,\n\nthe shortlist of “%v” waits for your pick, and the time for it ends soon. This link leads there:\n\n%v\n\nThis is the only reminder.\n\n%v\n",
			m.Name, m.Challenge, base+"/with/cohost/"+m.Token, site)
	case "pick-stand-in":
		l.Subject = v.T("Please make the pick – %v", m.Challenge)
		l.Body = v.T("Hello %v,\n\nthe time for the pick of “%v” has run out without one, and you are named to make it instead. This link leads there:\n\n%v\n\n%v\n",
			m.Name, m.Challenge, base+"/with/cohost/"+m.Token, site)
	case "invite-judge":
		l.Subject = v.T("Judge of “%v”", m.Challenge)
		l.Body = v.T("Hello %v,\n\nyou are invited to taste and score for “%v”. This link is yours alone:\n\n%v\n\n%v\n",
			m.Name, m.Challenge, base+"/with/judge/"+m.Token, site)
	}
	return l
}

// File is the letter as a .eml file.
func (l Letter) File() ([]byte, error) {
	m, err := l.message()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if _, err := m.WriteTo(&b); err != nil {
		return nil, fmt.Errorf("write message: %w", err)
	}
	return b.Bytes(), nil
}

// message leaves names and subjects to the library's encoding, so that nothing
// typed can become a header.
func (l Letter) message() (*gomail.Msg, error) {
	m := gomail.NewMsg(gomail.WithNoDefaultUserAgent())
	if err := m.To(l.To.String()); err != nil {
		return nil, fmt.Errorf("recipient: %w", err)
	}
	m.Subject(l.Subject)
	m.SetBodyString(gomail.TypeTextPlain, l.Body)
	return m, nil
}
