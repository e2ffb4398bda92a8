package views

import (
	"context"
	"strconv"
	"strings"

	"fairladle/challenge/intake"
	"fairladle/challenge/wording"
	"fairladle/store"
)

type ImportsPage struct {
	Frame      Frame
	Base       string
	Shut       error // why nothing can be brought in now
	Entries    int
	Imports    []store.Import
	Unanswered []int // numbers of entries whose senders have not agreed yet
	Text       string
	Columns    map[string]string
	Messages   Messages
}

type ImportPage struct {
	Frame    Frame
	Base     string
	Import   store.Import
	Shut     error
	Entries  []store.ImportItem
	Doubtful []store.ImportItem
	Skipped  []store.ImportItem
	Made     []store.ImportItem
	Failed   []store.ImportItem
	Ticked   map[int]bool // after a refusal; nil: the entries are
	Messages Messages
}

// Sort puts the items under the heading they belong to.
func (p *ImportPage) Sort(items []store.ImportItem) {
	for _, i := range items {
		switch {
		case i.State == "made":
			p.Made = append(p.Made, i)
		case i.State == "failed":
			p.Failed = append(p.Failed, i)
		case i.State != "found":
		case i.Verdict == intake.Entry:
			p.Entries = append(p.Entries, i)
		case i.Verdict == intake.Doubtful:
			p.Doubtful = append(p.Doubtful, i)
		default:
			p.Skipped = append(p.Skipped, i)
		}
	}
}

func (p ImportPage) ticked(i store.ImportItem) bool {
	if p.Ticked != nil {
		return p.Ticked[i.Seq]
	}
	return i.Verdict == intake.Entry
}

func (p ImportPage) path() string { return p.Base + "/import/" + id64(p.Import.ID) }

// chosen is how many are to be made altogether.
func (p ImportPage) chosen() int { return p.Import.Chosen + p.Import.Made + p.Import.Failed }

// shownText is how much of a recipe's text the preview holds.
const shownText = 2500

func previewText(s string) string {
	if len(s) <= shownText {
		return s
	}
	return strings.ToValidUTF8(s[:shownText], "") + " …"
}

// formatName is a format in plain words.
func formatName(ctx context.Context, f intake.Format) string {
	names := map[intake.Format]string{intake.Mail: "mail", intake.Markdown: "text file", intake.Plain: "text", intake.Page: "web page",
		intake.Linked: "recipe file", intake.Table: "row of a table", intake.Document: "Word document", intake.Picture: "picture", intake.Paper: "PDF"}
	if name, ok := names[f]; ok {
		return t(ctx, name)
	}
	return t(ctx, "file")
}

// likeWords says what an item is much like.
func likeWords(ctx context.Context, l store.Likeness) string {
	percent := int(l.Like*100 + 0.5)
	switch {
	case percent == 100 && l.Entry > 0:
		return t(ctx, "The same as entry No. %v.", l.Entry)
	case percent == 100:
		return t(ctx, "The same as number %v of this file.", l.Item)
	case l.Entry > 0:
		return t(ctx, "About %v in 100 like entry No. %v.", percent, l.Entry)
	}
	return t(ctx, "About %v in 100 like number %v of this file.", percent, l.Item)
}

// columnLabel names what a column can hold.
func columnLabel(ctx context.Context, role string) string {
	labels := map[string]string{"text": wording.Key("The whole recipe"), "title": wording.Key("Title"), "ingredients": wording.Key("Ingredients"), "method": wording.Key("Method"), "yield": wording.Key("How many it serves"),
		"name": wording.Key("Sender's name"), "email": wording.Key("Sender's e-mail address"), "date": wording.Key("Date")}
	return t(ctx, labels[role])
}

func id64(n int64) string { return strconv.FormatInt(n, 10) }

// importWords says in one line what is in an import and what became of it.
func importWords(ctx context.Context, i store.Import) string {
	var words []string
	for _, c := range []struct {
		count     int
		one, many string
	}{
		{i.Entries, "one recipe", "%v recipes"}, {i.Doubtful, "one to look at", "%v to look at"}, {i.Skipped, "one left out", "%v left out"},
		{i.Chosen, "one under way", "%v under way"}, {i.Made, "one entry made", "%v entries made"}, {i.Failed, "one not made", "%v not made"},
	} {
		if c.count > 0 {
			words = append(words, n(ctx, c.count, c.one, c.many))
		}
	}
	return strings.Join(words, ", ")
}

// originWords says where an entry was brought in from. The place names its file.
func originWords(ctx context.Context, o store.Origin) string {
	place := o.Place
	if place == "" {
		place = o.File
	}
	if o.Sent.IsZero() {
		return t(ctx, "Brought in from %v.", place)
	}
	return t(ctx, "Brought in from %v, sent %v.", place, voice(ctx).Moment(o.Sent))
}
