package intake

import (
	"bytes"

	"fairladle/challenge/recipe"
)

// readLinked reads a JSON-LD document.
func readLinked(name string, data []byte) []Raw {
	r := Raw{Where: name, Format: Linked}
	if len(data) > maxTotal/16 {
		r.weaker(Skipped, TooLong)
		return []Raw{r}
	}
	found := parseLinked([]byte(decode(data)))
	if len(found) == 0 {
		r.weaker(Skipped, NoRecipe)
		return []Raw{r}
	}
	return linkedRaws(name, Linked, found)
}

// parseLinked reads JSON-LD as it is found on pages: within comment marks, with
// a semicolon at the end, with bare line ends inside strings.
func parseLinked(data []byte) []recipe.Linked {
	data = bytes.TrimSpace(data)
	for _, wrap := range [][2]string{{"<!--", "-->"}, {"<![CDATA[", "]]>"}, {"//<![CDATA[", "//]]>"}, {"/*<![CDATA[*/", "/*]]>*/"}} {
		if bytes.HasPrefix(data, []byte(wrap[0])) {
			data = bytes.TrimSpace(bytes.TrimSuffix(bytes.TrimPrefix(data, []byte(wrap[0])), []byte(wrap[1])))
		}
	}
	data = bytes.TrimSuffix(data, []byte(";"))
	found, err := recipe.ParseLinked(data)
	if err == nil {
		return found
	}
	found, _ = recipe.ParseLinked(bytes.Map(func(c rune) rune {
		if c < ' ' {
			return ' '
		}
		return c
	}, data))
	return found
}

func linkedRaws(name string, f Format, found []recipe.Linked) []Raw {
	var out []Raw
	for i, l := range found {
		where := name
		if len(found) > 1 {
			where = numbered(name, i+1)
		}
		r := Raw{Where: where, Format: Linked, Title: l.Name, From: Sender{Name: oneLine(l.Author)}, Text: kept(l.Text())}
		judge(&r) // as what it says it is, wherever that stood
		r.Format = f
		out = append(out, r)
	}
	return out
}
