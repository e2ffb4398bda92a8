package recipe

import (
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"strconv"
	"strings"
)

// Linked is one schema.org/Recipe as found in a JSON-LD document, in plain
// words. Text turns it into a text that Read understands.
type Linked struct {
	Name        string
	Description string
	Author      string // kept apart: blind reading must not see it
	Images      []string
	Yield       string
	Times       []LinkedTime
	Parts       []LinkedPart // ingredients; the first may have no name
	Steps       []LinkedPart
	Keywords    string
}

// LinkedTime is a header time in minutes; Kind is "prep", "cook" or "total".
type LinkedTime struct {
	Kind    string
	Minutes float64
}

// LinkedPart is a named list of lines: ingredients, or steps of a HowToSection.
type LinkedPart struct {
	Name  string
	Lines []string
}

// ErrNoRecipe says that a document is readable but describes no recipe.
var ErrNoRecipe = errors.New("recipe: the document describes no recipe")

// Bounds for what strangers send.
const (
	maxDepth   = 24
	maxRecipes = 200
)

// ParseLinked finds every schema.org/Recipe in a JSON-LD document: a single object,
// an array, an @graph, or nested anywhere. Shapes follow schema.org/Recipe and
// what pages have in practice: strings for lists, arrays for strings, HowToStep,
// HowToSection, ItemList, HTML in texts, durations that are none.
func ParseLinked(data []byte) ([]Linked, error) {
	var doc any
	if err := json.Unmarshal(data, &doc); err != nil {
		return nil, fmt.Errorf("recipe: no JSON-LD: %w", err)
	}
	var out []Linked
	findRecipes(doc, 0, &out)
	if len(out) == 0 {
		return nil, ErrNoRecipe
	}
	return out, nil
}

func findRecipes(v any, depth int, out *[]Linked) {
	if depth > maxDepth || len(*out) >= maxRecipes {
		return
	}
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			findRecipes(e, depth+1, out)
		}
	case map[string]any:
		if hasType(v, "Recipe") {
			*out = append(*out, linkedRecipe(v))
			return
		}
		for _, key := range sortedKeys(v) {
			findRecipes(v[key], depth+1, out)
		}
	}
}

func hasType(m map[string]any, want string) bool {
	for _, key := range []string{"@type", "type"} {
		switch t := m[key].(type) {
		case string:
			if typeName(t) == want {
				return true
			}
		case []any:
			for _, e := range t {
				if s, ok := e.(string); ok && typeName(s) == want {
					return true
				}
			}
		}
	}
	return false
}

// typeName takes the address off "https://schema.org/Recipe" and "schema:Recipe".
func typeName(s string) string {
	if i := strings.LastIndexAny(s, "/:#"); i >= 0 {
		return s[i+1:]
	}
	return s
}

func linkedRecipe(m map[string]any) Linked {
	r := Linked{Name: firstText(m, "name", "headline"), Description: firstText(m, "description"), Author: firstText(m, "author", "creator"),
		Keywords: strings.Join(texts(m["keywords"], 0), ", "), Images: images(m["image"], 0)}
	r.Yield = linkedYield(m)
	for _, t := range []struct{ key, kind string }{{"prepTime", "prep"}, {"cookTime", "cook"}, {"performTime", "cook"}, {"totalTime", "total"}} {
		if min, ok := minutes(firstText(m, t.key)); ok {
			r.Times = append(r.Times, LinkedTime{t.kind, min})
		}
	}
	for _, key := range []string{"recipeIngredient", "ingredients", "ingredient", "supply"} {
		if r.Parts = parts(get(m, key), false); len(r.Parts) > 0 {
			break
		}
	}
	for _, key := range []string{"recipeInstructions", "instructions", "step", "steps"} {
		if r.Steps = parts(get(m, key), true); len(r.Steps) > 0 {
			break
		}
	}
	return r
}

// get finds a property under its plain, prefixed or full name.
func get(m map[string]any, key string) any {
	for _, prefix := range []string{"", "schema:", "http://schema.org/", "https://schema.org/"} {
		if v, ok := m[prefix+key]; ok {
			return v
		}
	}
	return nil
}

func firstText(m map[string]any, keys ...string) string {
	for _, key := range keys {
		if t := texts(get(m, key), 0); len(t) > 0 {
			return t[0]
		}
	}
	return ""
}

func linkedYield(m map[string]any) string {
	for _, key := range []string{"recipeYield", "yield"} {
		list := texts(get(m, key), 0)
		for _, t := range list {
			if strings.ContainsFunc(t, func(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }) {
				return t // ["4", "4 servings"]
			}
		}
		if len(list) > 0 {
			return list[0]
		}
	}
	return ""
}

// texts flattens strings, numbers, arrays and objects into plain lines.
func texts(v any, depth int) []string {
	if depth > maxDepth {
		return nil
	}
	switch v := v.(type) {
	case string:
		return plainLines(v)
	case float64:
		return []string{strconv.FormatFloat(v, 'f', -1, 64)}
	case json.Number:
		return []string{v.String()}
	case []any:
		var out []string
		for _, e := range v {
			out = append(out, texts(e, depth+1)...)
		}
		return out
	case map[string]any:
		if value, ok := v["value"]; ok { // QuantitativeValue, PropertyValue
			t := append(texts(value, depth+1), texts(v["unitText"], depth+1)...)
			return []string{strings.Join(append(t, texts(v["name"], depth+1)...), " ")}
		}
		if q, ok := v["requiredQuantity"]; ok { // HowToSupply
			return []string{strings.Join(append(texts(q, depth+1), texts(v["name"], depth+1)...), " ")}
		}
		for _, key := range []string{"@value", "text", "name", "description", "item", "@id"} {
			if t := texts(v[key], depth+1); len(t) > 0 {
				return t
			}
		}
	}
	return nil
}

func images(v any, depth int) []string {
	if depth > maxDepth {
		return nil
	}
	switch v := v.(type) {
	case string:
		return []string{strings.TrimSpace(v)}
	case []any:
		var out []string
		for _, e := range v {
			out = append(out, images(e, depth+1)...)
		}
		return out
	case map[string]any:
		for _, key := range []string{"url", "contentUrl", "@id"} {
			if s, ok := v[key].(string); ok {
				return []string{strings.TrimSpace(s)}
			}
		}
	}
	return nil
}

// parts reads a list of ingredients or steps: sections become named parts.
func parts(v any, steps bool) []LinkedPart {
	var out []LinkedPart
	addPart(v, "", steps, 0, &out)
	if !steps {
		out = splitHeadings(out)
	}
	kept := out[:0]
	for _, p := range out {
		if len(p.Lines) > 0 {
			kept = append(kept, p)
		}
	}
	return kept
}

// splitHeadings makes "For the sauce:" among ingredient lines a part of its own.
func splitHeadings(in []LinkedPart) []LinkedPart {
	var out []LinkedPart
	for _, p := range in {
		now := LinkedPart{Name: p.Name}
		for _, l := range p.Lines {
			if name, ok := strings.CutSuffix(l, ":"); ok && len(name) > 1 && len(name) <= 60 {
				out = append(out, now)
				now = LinkedPart{Name: name}
				continue
			}
			now.Lines = append(now.Lines, l)
		}
		out = append(out, now)
	}
	return out
}

func addPart(v any, name string, steps bool, depth int, out *[]LinkedPart) {
	if depth > maxDepth {
		return
	}
	add := func(lines ...string) {
		if n := len(*out); n == 0 || (*out)[n-1].Name != name {
			*out = append(*out, LinkedPart{Name: name})
		}
		p := &(*out)[len(*out)-1]
		p.Lines = append(p.Lines, lines...)
	}
	switch v := v.(type) {
	case []any:
		for _, e := range v {
			addPart(e, name, steps, depth+1, out)
		}
	case map[string]any:
		items := get(v, "itemListElement")
		if items == nil {
			items = get(v, "steps")
		}
		own := firstText(v, "text")
		switch {
		case hasType(v, "HowToSection"):
			addPart(items, firstText(v, "name"), steps, depth+1, out)
		case items != nil && own == "":
			addPart(items, name, steps, depth+1, out)
		case own != "":
			add(strings.Join(texts(v["text"], 0), " "))
		default:
			if item, ok := v["item"]; ok {
				addPart(item, name, steps, depth+1, out)
				return
			}
			add(texts(v, 0)...)
		}
	default:
		for _, line := range texts(v, 0) {
			if steps {
				line = strings.TrimSpace(strings.TrimLeft(stripNumber(line), " "))
			}
			if line != "" {
				add(line)
			}
		}
	}
}

// stripNumber takes "1. " off a line.
func stripNumber(s string) string {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	if i > 0 && i <= 2 && i+1 < len(s) && (s[i] == '.' || s[i] == ')') && s[i+1] == ' ' {
		return s[i+2:]
	}
	return s
}

// plainLines takes HTML out of a text and cuts it into its lines.
func plainLines(s string) []string {
	for range 2 { // twice escaped texts are common
		if !strings.Contains(s, "&") {
			break
		}
		s = html.UnescapeString(s)
	}
	s = stripTags(s)
	var out []string
	for line := range strings.SplitSeq(s, "\n") {
		if line = strings.Join(strings.Fields(line), " "); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// stripTags drops HTML tags; those that end a line become one.
func stripTags(s string) string {
	if !strings.Contains(s, "<") {
		return s
	}
	var b strings.Builder
	for {
		i := strings.IndexByte(s, '<')
		if i < 0 {
			break
		}
		end := strings.IndexByte(s[i:], '>')
		if end < 0 || i+1 < len(s) && (s[i+1] == ' ' || s[i+1] >= '0' && s[i+1] <= '9') { // "< 30 minutes"
			b.WriteString(s[:i+1])
			s = s[i+1:]
			continue
		}
		b.WriteString(s[:i])
		switch tag := strings.ToLower(strings.Trim(s[i+1:i+end], "/ ")); {
		case strings.HasPrefix(tag, "br"), strings.HasPrefix(tag, "p"), strings.HasPrefix(tag, "li"), strings.HasPrefix(tag, "div"),
			strings.HasPrefix(tag, "ul"), strings.HasPrefix(tag, "ol"), strings.HasPrefix(tag, "h"):
			b.WriteByte('\n')
		}
		s = s[i+end+1:]
	}
	b.WriteString(s)
	return b.String()
}
