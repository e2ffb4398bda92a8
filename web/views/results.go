package views

import (
	"context"
	"net/url"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/store"
)

// A ResultsPage is what the public sees of how a challenge came out. It names
// nobody except as the store's PublicDish does.
type ResultsPage struct {
	Frame   Frame
	Results store.Results
	Words   string   // the host's own, as harmless HTML
	Card    *Reading // of the drawn entry, where its recipe is published
	Preview bool
	Desk    string // of the host, in a preview
	Now     time.Time
}

// A HostResults is the host's page about the result page.
type HostResults struct {
	Frame    Frame
	Desk     string
	Slug     string
	Words    string // Markdown as typed
	Added    challenge.Publication
	Rounds   []ShownWhen
	Scores   bool // a tasting is closed
	Cooked   []store.CookedPage
	Preview  ResultsPage
	Messages Messages
}

// ShownWhen is when the outcome of a round becomes public.
type ShownWhen struct {
	Round   challenge.Round
	Release time.Time
	Shown   bool
	Since   time.Time // when it was, where it is shown
}

// quotesByDish gathers quotes, which come ordered, by what they are about.
func quotesByDish(qs []store.Quote) (groups [][]store.Quote) {
	for i, q := range qs {
		if i == 0 || qs[i-1].Dish.ID != q.Dish.ID {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], q)
	}
	return groups
}

// A SchemaRecipe is a recipe in the words of schema.org/Recipe, as JSON-LD.
type SchemaRecipe struct {
	Context      string        `json:"@context"`
	Type         string        `json:"@type"`
	Name         string        `json:"name"`
	URL          string        `json:"url,omitempty"`
	Image        []string      `json:"image,omitempty"`
	Author       *SchemaPerson `json:"author,omitempty"`
	Yield        string        `json:"recipeYield,omitempty"`
	PrepTime     string        `json:"prepTime,omitempty"`
	CookTime     string        `json:"cookTime,omitempty"`
	TotalTime    string        `json:"totalTime,omitempty"`
	Ingredients  []string      `json:"recipeIngredient,omitempty"`
	Instructions []SchemaStep  `json:"recipeInstructions,omitempty"`
}

// A SchemaPerson is who is credited.
type SchemaPerson struct {
	Type string `json:"@type"`
	Name string `json:"name"`
}

// A SchemaStep is one step of the method.
type SchemaStep struct {
	Type string `json:"@type"`
	Text string `json:"text"`
}

// videoTitle is what the link to the host's video says.
func videoTitle(ctx context.Context, p challenge.Publication) string {
	if p.VideoTitle != "" {
		return p.VideoTitle
	}
	return t(ctx, "Watch the video")
}

// hostOf is the site that an address leads to.
func hostOf(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return address
	}
	return strings.TrimPrefix(u.Hostname(), "www.")
}
