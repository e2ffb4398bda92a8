package announcement

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark"
	"golang.org/x/net/html"
	"pgregory.net/rapid"
)

func example() Text {
	t := Text{Title: "Results: Soup"}
	t.Add(Heading, Say("Final result"))
	t.Blocks = append(t.Blocks, Block{Kind: Ordered, Places: []int{1, 1, 3}, Items: [][]Run{{Say("Leek")}, {Say("Beet")}, {Say("Oats")}}})
	t.Add(Quote, Say("Bright."))
	t.AddList([][]Run{{Link("The recipe", "https://k.example/c/soup/recipe/4"), Say(", No. 4")}})
	t.Blocks = append(t.Blocks, Block{Kind: Own, Markdown: "What a *month*!", HTML: "<p>What a <em>month</em>!</p>"})
	return t
}

func TestThreeForms(t *testing.T) {
	require.Equal(t, "# Results: Soup\n\n## Final result\n\n1. Leek\n1. Beet\n3. Oats\n\n> Bright.\n\n- [The recipe](<https://k.example/c/soup/recipe/4>), No. 4\n\nWhat a *month*!\n",
		example().Markdown())
	require.Equal(t, "RESULTS: SOUP\n\nFinal result\n\n1. Leek\n1. Beet\n3. Oats\n\n“Bright.”\n\n- The recipe, No. 4: https://k.example/c/soup/recipe/4\n\nWhat a *month*!\n",
		example().Plain())
	require.Equal(t, "<h1>Results: Soup</h1>\n<h2>Final result</h2>\n<ol>\n<li value=\"1\">Leek</li>\n<li value=\"1\">Beet</li>\n<li value=\"3\">Oats</li>\n</ol>\n"+
		"<blockquote><p>Bright.</p></blockquote>\n<ul>\n<li><a href=\"https://k.example/c/soup/recipe/4\">The recipe</a>, No. 4</li>\n</ul>\n<p>What a <em>month</em>!</p>\n",
		example().HTML())
}

// Whatever somebody typed, an independent reader of CommonMark and one of HTML
// find one paragraph with exactly those words.
func TestWordsNeverBecomeMarks(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		words := strings.Join(strings.Fields(rapid.StringOf(rapid.SampledFrom([]rune("ab1. #*_`[]()<>&|~\\-+=!:/é“\""))).Draw(rt, "words")), " ")
		if words == "" {
			return
		}
		x := Text{Title: "T"}
		x.Add(Paragraph, Say(words))
		var b bytes.Buffer
		require.NoError(rt, goldmark.Convert([]byte(x.Markdown()), &b))
		for _, page := range []string{b.String(), x.HTML()} {
			doc, err := html.Parse(strings.NewReader(page))
			require.NoError(rt, err)
			var tags []string
			var said strings.Builder
			each(doc, func(n *html.Node) {
				if n.Type == html.ElementNode {
					tags = append(tags, n.Data)
				}
				if n.Type == html.TextNode && n.Parent.Data == "p" {
					said.WriteString(n.Data)
				}
			})
			require.Equal(rt, []string{"html", "head", "body", "h1", "p"}, tags, page)
			require.Equal(rt, words, said.String(), page)
		}
	})
}

func each(n *html.Node, do func(*html.Node)) {
	do(n)
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		each(c, do)
	}
}
