package intake

import (
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
	"time"
)

// The roles that a column of a table can have.
const (
	roleText        = "text" // the whole recipe
	roleTitle       = "title"
	roleIngredients = "ingredients"
	roleMethod      = "method"
	roleYield       = "yield"
	roleName        = "name"
	roleEmail       = "email"
	roleDate        = "date"
)

// Roles lists the roles that Options.Columns can name.
var Roles = []string{roleText, roleTitle, roleIngredients, roleMethod, roleYield, roleName, roleEmail, roleDate}

// usual headings of columns by role, in small letters. A heading that equals
// one is taken before one that only contains it.
var usual = map[string][]string{
	roleText:        {"text", "recipe", "full recipe", "your recipe", "the recipe", "recipe text", "rezept", "recette", "receta"},
	roleTitle:       {"title", "recipe name", "recipe title", "name of recipe", "name of the recipe", "name of dish", "name of the dish", "dish", "dish name", "titel", "titre", "título"},
	roleIngredients: {"ingredients", "ingredient list", "zutaten", "ingrédients", "ingredientes", "ingredient"},
	roleMethod:      {"method", "instructions", "directions", "steps", "preparation", "how to make it", "zubereitung", "préparation", "preparación"},
	roleYield:       {"yield", "servings", "serves", "makes", "portions"},
	roleName:        {"name", "your name", "full name", "sender", "from", "entrant", "submitted by", "cook", "author", "nom", "nombre"},
	roleEmail:       {"email", "e-mail", "email address", "e-mail address", "your email", "mail", "username"},
	roleDate:        {"date", "timestamp", "submitted at", "received", "sent", "time"},
}

// table reads a table with one recipe a row, one entry after the other.
func (in *intake) table(name string, data []byte) {
	text := kept(decode(data))
	r := csv.NewReader(strings.NewReader(text))
	r.Comma = delimiter(text)
	r.LazyQuotes, r.FieldsPerRecord, r.ReuseRecord = true, -1, true
	heads, err := r.Read()
	if err != nil {
		in.skip(name, Table, Damaged)
		return
	}
	columns := in.columns(heads)
	if _, has := columns[roleText]; !has {
		if _, has := columns[roleIngredients]; !has {
			in.skip(name, Table, NoColumns)
			return
		}
	}
	for n := 2; n <= maxRows+1 && !in.stopped; n++ {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			in.skip(numbered(name, n), Table, Damaged)
			continue
		}
		in.row(numbered(name, n), row, columns)
	}
	if _, err := r.Read(); err == nil {
		in.skip(name, Table, TooMuch)
	}
}

// delimiter is what parts the columns, by the table's first line.
func delimiter(text string) rune {
	first, _, _ := strings.Cut(text, "\n")
	best, most := ',', 0
	for _, c := range []rune{',', ';', '\t'} {
		if n := strings.Count(first, string(c)); n > most {
			best, most = c, n
		}
	}
	return best
}

// columns finds the column of each role: as the host says, by its exact usual
// heading, or by one that contains it.
func (in *intake) columns(heads []string) map[string]int {
	heads = heads[:min(len(heads), maxColumns)]
	names := make([]string, len(heads))
	for i, h := range heads {
		names[i] = strings.ToLower(strings.Join(strings.Fields(unguarded(h)), " "))
	}
	found, taken := map[string]int{}, map[int]bool{}
	take := func(role string, match func(name string) bool) {
		if _, done := found[role]; done {
			return
		}
		for i, name := range names {
			if !taken[i] && match(name) {
				found[role], taken[i] = i, true
				return
			}
		}
	}
	for _, role := range Roles {
		if said := strings.ToLower(strings.Join(strings.Fields(in.options.Columns[role]), " ")); said != "" {
			take(role, func(name string) bool { return name == said })
		}
	}
	for _, role := range Roles {
		take(role, func(name string) bool { return slices.Contains(usual[role], name) })
	}
	for _, role := range []string{roleEmail, roleIngredients, roleMethod, roleTitle} {
		take(role, func(name string) bool {
			return slices.ContainsFunc(usual[role], func(u string) bool { return len(u) > 4 && strings.Contains(name, u) })
		})
	}
	return found
}

func (in *intake) row(where string, row []string, columns map[string]int) {
	cell := func(role string) string {
		if i, has := columns[role]; has && i < len(row) {
			return unguarded(row[i])
		}
		return ""
	}
	blank := true
	for _, c := range row {
		blank = blank && strings.TrimSpace(c) == ""
	}
	if blank {
		return
	}
	r := Raw{Where: where, Format: Table, Title: oneLine(cell(roleTitle)), Date: rowDate(cell(roleDate)),
		From: Sender{Name: oneLine(cell(roleName)), Address: strings.TrimSpace(cell(roleEmail))}}
	r.Text = cell(roleText)
	if strings.TrimSpace(r.Text) == "" {
		r.Text = assembled(r.Title, cell(roleYield), cell(roleIngredients), cell(roleMethod))
	} else if r.Title != "" {
		r.Text = titled(r.Text, r.Title)
	}
	r.Text = kept(strings.ToValidUTF8(r.Text, "\ufffd"))
	judge(&r)
	in.give(r)
}

// assembled writes a recipe from a row's columns.
func assembled(title, yield, ingredients, method string) string {
	if strings.TrimSpace(ingredients+method) == "" {
		return ""
	}
	var b strings.Builder
	if title != "" {
		b.WriteString("# " + title + "\n\n")
	}
	if y := oneLine(yield); y != "" {
		b.WriteString("Yield: " + y + "\n\n")
	}
	part := func(heading, text string) {
		if text = strings.TrimSpace(text); text != "" {
			b.WriteString("## " + heading + "\n\n" + text + "\n\n")
		}
	}
	part("Ingredients", onLines(ingredients))
	part("Method", method)
	return strings.TrimRight(b.String(), "\n") + "\n"
}

// onLines puts a list that is parted by semicolons on lines of its own.
func onLines(list string) string {
	if strings.Contains(list, "\n") || strings.Count(list, ";") < 2 {
		return list
	}
	var b strings.Builder
	for item := range strings.SplitSeq(list, ";") {
		b.WriteString("- " + strings.TrimSpace(item) + "\n")
	}
	return b.String()
}

// rowDate reads the dates that tables usually hold. One that can be read in
// two ways is not read.
func rowDate(s string) time.Time {
	s = strings.TrimSpace(s)
	for _, layout := range []string{time.RFC3339, "2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02"} {
		if t, err := time.Parse(layout, s); err == nil && t.Year() >= 1970 {
			return t.UTC()
		}
	}
	return time.Time{}
}
