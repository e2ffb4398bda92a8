package web

import (
	"bytes"
	"encoding/hex"
	"encoding/xml"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"fairladle/challenge"
	"fairladle/web/text"
)

// An atomFeed is a feed as RFC 4287 spells it.
type atomFeed struct {
	XMLName xml.Name     `xml:"http://www.w3.org/2005/Atom feed"`
	Lang    string       `xml:"xml:lang,attr"`
	Title   string       `xml:"title"`
	ID      string       `xml:"id"`
	Updated atomTime     `xml:"updated"`
	Author  atomPerson   `xml:"author"`
	Links   []atomLink   `xml:"link"`
	Entries []*atomEntry `xml:"entry"`
}

type atomEntry struct {
	Title     string     `xml:"title"`
	ID        string     `xml:"id"`
	Published atomTime   `xml:"published"`
	Updated   atomTime   `xml:"updated"`
	Links     []atomLink `xml:"link"`
	Summary   string     `xml:"summary,omitempty"`
	Content   *atomText  `xml:"content,omitempty"`
}

type atomText struct {
	Type string `xml:"type,attr"`
	Body string `xml:",chardata"`
}

type atomPerson struct {
	Name string `xml:"name"`
}

type atomLink struct {
	Rel  string `xml:"rel,attr"`
	Type string `xml:"type,attr,omitempty"`
	Href string `xml:"href,attr"`
}

type atomTime time.Time

func (t atomTime) MarshalText() ([]byte, error) {
	return []byte(time.Time(t).UTC().Format(time.RFC3339)), nil
}

// feedLength is how many entries a feed holds.
const feedLength = 50

// showFeed is the Atom feed of the site: each challenge once when it is
// announced, and once from the first release of an outcome on.
func (s *Server) showFeed(w http.ResponseWriter, r *http.Request) error {
	cs, err := s.db.Challenges(r.Context())
	if err != nil {
		return err
	}
	key, err := s.db.LedgerKey(r.Context())
	if err != nil {
		return err
	}
	st := site(r)
	f := atomFeed{Lang: text.From(r.Context()).Tag.String(), Title: st.Name, ID: feedID(key, "site"), Updated: atomTime(st.SetUpAt),
		Author: atomPerson{st.Name}, Links: []atomLink{{"self", "application/atom+xml", st.PublicURL + "/feed.atom"}, {"alternate", "text/html", st.PublicURL + "/"}}}
	for _, c := range cs {
		f.Entries = append(f.Entries, s.feedEntries(r, key, c)...)
	}
	slices.SortStableFunc(f.Entries, func(a, b *atomEntry) int { return time.Time(b.Updated).Compare(time.Time(a.Updated)) })
	f.Entries = f.Entries[:min(len(f.Entries), feedLength)]
	if len(f.Entries) > 0 {
		f.Updated = f.Entries[0].Updated
	}
	b := bytes.NewBufferString(xml.Header)
	if err := xml.NewEncoder(b).Encode(f); err != nil {
		return err
	}
	serve(w, r, "application/atom+xml; charset=utf-8", contentTag(b.Bytes()), time.Time(f.Updated), b.Bytes())
	return nil
}

// feedEntries are what a challenge has given cause to say so far. They name no
// dish: whoever reads on finds what is public at that moment.
func (s *Server) feedEntries(r *http.Request, key []byte, c challenge.Challenge) (es []*atomEntry) {
	if c.AnnouncedAt.IsZero() {
		return nil
	}
	v := text.From(r.Context()).In(c.Location())
	page := site(r).PublicURL + "/c/" + c.Slug
	es = append(es, &atomEntry{Title: c.Title, ID: feedID(key, "announced "+c.Slug), Published: atomTime(c.AnnouncedAt), Updated: atomTime(c.AnnouncedAt),
		Links: []atomLink{{"alternate", "text/html", page}}, Summary: v.T("Entries until %v.", v.Moment(c.ClosesAt)), Content: &atomText{"html", prose(c.Brief)}})
	shows := c.Shows(challenge.Public, s.db.Now())
	if !shows.Results {
		return es
	}
	var first, last time.Time
	var out []string
	for _, round := range c.Rounds {
		if at := c.PublicFrom(round); shows.Outcome(round.ID) && !at.IsZero() && round.Kind != challenge.Cook {
			if first.IsZero() {
				first = at
			}
			last = at
			out = append(out, round.Title)
		}
	}
	return append(es, &atomEntry{Title: v.T("Results: %v", c.Title), ID: feedID(key, "results "+c.Slug), Published: atomTime(first), Updated: atomTime(last),
		Links: []atomLink{{"alternate", "text/html", page + "/results"}}, Summary: v.T("Public by now: %v", strings.Join(out, ", "))})
}

// feedID is an identifier that stays the same if the site moves to another
// address, and that no other site has: a name-based UUID (RFC 9562, 5.5) below
// the public key of the site's ledger.
func feedID(key []byte, of string) string {
	return "urn:uuid:" + uuid.NewSHA1(uuid.NameSpaceOID, []byte(hex.EncodeToString(key)+" "+of)).String()
}
