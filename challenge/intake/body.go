package intake

import (
	"regexp"
	"strings"

	"fairladle/challenge/recipe"
)

// body finds the recipe in a mail's text and gives the verdict on it.
func (m letter) body(r *Raw) {
	text := kept(m.text)
	if m.page != "" && (strings.TrimSpace(text) == "" || len(text) < 300) {
		p := renderPage([]byte(m.page[:min(len(m.page), maxPage)]), true)
		if len(strings.TrimSpace(p.text)) > 2*len(strings.TrimSpace(text)) {
			text = kept(p.text)
		}
	}
	own, quoted, forwarded := splitQuoted(text, m.forwarded)
	own = strings.Trim(withoutSignature(own), "\n")
	if forwarded {
		r.note(Forwarded)
	}
	if len(own) > MaxText {
		r.weaker(Skipped, TooLong)
		return
	}
	if strings.TrimSpace(own) != "" {
		r.Text = titled(own, m.subject)
		was := *r
		r.Title = ""
		judge(r)
		if r.Title == "" {
			r.Title = was.Title
		}
	} else {
		r.weaker(Skipped, NoRecipe)
	}
	if r.Verdict == Skipped && len(quoted) <= MaxText && recipeIn(recipe.Read(quoted)) == Entry {
		r.Reasons = nil
		r.weaker(Skipped, OnlyQuoted)
	}
}

// dull are subjects that name no dish.
var dull = regexp.MustCompile(`(?i)^(my |the |a |an |our |here is my |here's my )*(recipe|entry|submission|contest|challenge|hello|hi|dinner|photo|picture|image|no subject|\(no subject\))s?[ .!]*$`)

// titled puts the subject above a text that has no title of its own.
func titled(text, subject string) string {
	if subject == "" || len(subject) > 120 || dull.MatchString(subject) {
		return text
	}
	b := recipe.Read(text)
	if b.TitleSure >= 0.5 || recipeIn(b) == Skipped {
		return text
	}
	return "# " + subject + "\n\n" + text
}

var (
	wroteLine     = regexp.MustCompile(`(?i)^(on|am|le|el|il|em|op) .{5,200}(wrote|schrieb|écrit|escribió|scritto|escreveu|schreef)\s*.{0,60}:\s*$`)
	originalLine  = regexp.MustCompile(`(?i)^[-_ ]{2,}\s*(original message|original-nachricht|ursprüngliche nachricht|message d'origine|mensaje original)\s*[-_ ]*$`)
	forwardedLine = regexp.MustCompile(`(?i)^([-_ ]{2,}\s*(forwarded message|weitergeleitete nachricht|message transféré|mensaje reenviado)|begin forwarded message|anfang der weitergeleiteten nachricht)`)
	headerLine    = regexp.MustCompile(`(?i)^\*?(from|sent|date|to|cc|subject|reply-to|von|gesendet|datum|an|betreff|de|envoyé|à|objet)\*?\s?:\*?\s`)
)

// splitQuoted parts what a mail says itself from what it quotes. In a forwarded
// mail the quoted part is what is said.
func splitQuoted(text string, forward bool) (own, quoted string, forwarded bool) {
	var mine, theirs []string
	lines := strings.Split(text, "\n")
	for i := 0; i < len(lines); i++ {
		line := strings.TrimRight(lines[i], " \t")
		switch {
		case len(line) < 300 && forwardedLine.MatchString(line), forward && len(line) < 300 && originalLine.MatchString(line):
			forwarded = true
			i = afterHeaders(lines, i+1) - 1
		case len(line) < 300 && originalLine.MatchString(line):
			theirs = append(theirs, lines[afterHeaders(lines, i+1):]...)
			i = len(lines)
		case len(line) < 300 && wroteLine.MatchString(line) && quoteFollows(lines, i+1):
			theirs = append(theirs, line)
		case strings.HasPrefix(line, ">"):
			theirs = append(theirs, strings.TrimPrefix(strings.TrimLeft(line, ">"), " "))
		default:
			mine = append(mine, line)
		}
	}
	own, quoted = strings.Join(mine, "\n"), strings.Join(theirs, "\n")
	if forward && strings.TrimSpace(quoted) != "" && recipeIn(recipe.Read(own[:min(len(own), MaxText)])) == Skipped {
		return quoted, "", true
	}
	return own, quoted, forwarded
}

func quoteFollows(lines []string, i int) bool {
	for ; i < len(lines); i++ {
		if s := strings.TrimSpace(lines[i]); s != "" {
			return strings.HasPrefix(s, ">")
		}
	}
	return false
}

// afterHeaders is the first line behind the header lines that a forwarded mail
// repeats.
func afterHeaders(lines []string, i int) int {
	for i < len(lines) && strings.TrimSpace(lines[i]) == "" {
		i++
	}
	for i < len(lines) && len(lines[i]) < 1000 && headerLine.MatchString(strings.TrimSpace(lines[i])) {
		i++
	}
	return i
}

// maxSignature is how many lines below "-- " are taken for a signature.
const maxSignature = 12

// withoutSignature cuts the signature that follows a line of "-- " (RFC 3676).
func withoutSignature(text string) string {
	i := strings.LastIndex("\n"+text, "\n-- \n")
	if i < 0 {
		if i = strings.LastIndex("\n"+text, "\n--\n"); i < 0 {
			return text
		}
	}
	if strings.Count(text[i:], "\n") > maxSignature {
		return text
	}
	return text[:i]
}

// unflow joins the lines of a format=flowed text (RFC 3676): a line that ends
// in a blank goes on in the next one of the same depth of quotes.
func unflow(text string, delSp bool) string {
	var b strings.Builder
	open, depth := false, 0
	for line := range strings.SplitSeq(kept(text), "\n") {
		rest := strings.TrimLeft(line, ">")
		quotes := len(line) - len(rest)
		rest = strings.TrimPrefix(rest, " ")
		if open && quotes != depth || !open && b.Len() > 0 {
			b.WriteByte('\n')
			open = false
		}
		if !open && quotes > 0 {
			b.WriteString(strings.Repeat(">", quotes) + " ")
		}
		flowed := strings.HasSuffix(rest, " ") && rest != "-- "
		if flowed && delSp {
			rest = rest[:len(rest)-1]
		}
		b.WriteString(rest)
		if b.Len() == 0 { // a blank first line keeps its place
			b.WriteByte('\n')
		}
		open, depth = flowed, quotes
	}
	return b.String()
}
