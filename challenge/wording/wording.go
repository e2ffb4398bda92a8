package wording

import (
	"encoding/json"
	"fmt"
	"strings"
)

// A Sentence is an English sentence with %v for each of Args, which may be
// sentences themselves. Numbers that may be large are ints; names and amounts
// are strings. The zero value says nothing.
type Sentence struct {
	Text string
	Args []any
}

// Of makes a sentence.
func Of(text string, args ...any) Sentence { return Sentence{Text: text, Args: args} }

// Name is words that stay as they are in every language: a name, or what
// somebody wrote.
func Name(words string) Sentence { return Sentence{Text: "%v", Args: []any{words}} }

// Count is one for 1, else many, which holds one %v for the number.
func Count(n int, one, many string) Sentence {
	if n == 1 {
		return Sentence{Text: one}
	}
	return Sentence{Text: many, Args: []any{n}}
}

// Key marks a sentence of a table that is said elsewhere, and returns it.
func Key(text string) string { return text }

// IsZero is true where nothing is said.
func (s Sentence) IsZero() bool { return s.Text == "" }

// String is the sentence in English.
func (s Sentence) String() string {
	if len(s.Args) == 0 {
		return s.Text
	}
	return fmt.Sprintf(s.Text, s.Args...)
}

// A List is said as "a, b and c" in the page's language.
type List []any

// String is the list in English.
func (l List) String() string {
	words := make([]string, len(l))
	for i, x := range l {
		words[i] = fmt.Sprint(x)
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// written is the form of a sentence in a file: its parts, with sentences
// within it told from strings.
type written struct {
	Text string `json:"text"`
	Args []part `json:"args,omitempty"`
}

type part struct {
	Sentence *Sentence `json:"sentence,omitempty"`
	Word     *string   `json:"word,omitempty"`
	Number   *int      `json:"number,omitempty"`
	List     []part    `json:"list,omitempty"`
}

// MarshalJSON writes a sentence without args as a string.
func (s Sentence) MarshalJSON() ([]byte, error) {
	if len(s.Args) == 0 {
		return json.Marshal(s.Text)
	}
	return json.Marshal(written{s.Text, parts(s.Args)})
}

// UnmarshalJSON reads what MarshalJSON wrote, or any string.
func (s *Sentence) UnmarshalJSON(b []byte) error {
	if len(b) > 0 && b[0] == '"' {
		*s = Sentence{}
		return json.Unmarshal(b, &s.Text)
	}
	var w written
	if err := json.Unmarshal(b, &w); err != nil {
		return fmt.Errorf("a sentence: %w", err)
	}
	*s = Sentence{Text: w.Text, Args: args(w.Args)}
	return nil
}

func parts(args []any) []part {
	var out []part
	for _, a := range args {
		switch x := a.(type) {
		case Sentence:
			out = append(out, part{Sentence: &x})
		case int:
			out = append(out, part{Number: &x})
		case List:
			out = append(out, part{List: parts(x)})
		default:
			out = append(out, part{Word: new(fmt.Sprint(x))})
		}
	}
	return out
}

func args(ps []part) []any {
	var out []any
	for _, p := range ps {
		switch {
		case p.Sentence != nil:
			out = append(out, *p.Sentence)
		case p.Number != nil:
			out = append(out, *p.Number)
		case p.List != nil:
			out = append(out, List(args(p.List)))
		case p.Word != nil:
			out = append(out, *p.Word)
		}
	}
	return out
}
