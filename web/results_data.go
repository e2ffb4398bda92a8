package web

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"net/http"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge/tasting"
	"fairladle/store"
)

// A publicEntry is a dish of the result page as a line of a file. It holds
// what that page says of it: no name that was not agreed to, no recipe that is
// not published.
type publicEntry struct {
	Number   int    `json:"number,omitempty"` // 0 for a house dish
	Title    string `json:"title"`
	Credit   string `json:"credit,omitempty"` // as agreed; of a house dish its cook
	Recipe   string `json:"recipe,omitempty"` // address of its page
	Finalist bool   `json:"finalist"`
	Drawn    bool   `json:"drawn"`
	Place    int    `json:"place,omitempty"` // in the final result
	Votes    *int   `json:"votes,omitempty"` // in the last vote; first choices where it ranks
}

// A publicScore is one plate of one tasting.
type publicScore struct {
	Tasting  string              `json:"tasting"`
	Number   int                 `json:"number,omitempty"`
	Title    string              `json:"title"`
	Cook     string              `json:"cook,omitempty"`
	Place    int                 `json:"place,omitempty"`
	Score    float64             `json:"score"`
	Unit     tasting.Unit        `json:"unit"`
	Sheets   int                 `json:"sheets"`
	Criteria []publicScoreOfThem `json:"criteria"`
}

type publicScoreOfThem struct {
	Name   string  `json:"name"`
	Mean   float64 `json:"mean"`
	Sheets int     `json:"sheets"`
}

// resultsFile is what the result page says, as a table or as JSON.
func (s *Server) resultsFile(w http.ResponseWriter, r *http.Request) error {
	c, shows, r, err := s.public(r)
	if err != nil {
		return err
	}
	x, err := s.db.Results(r.Context(), c)
	if err != nil {
		return err
	}
	if !shows.Results {
		return notFound(w, r)
	}
	var whole any
	var table [][]string
	switch what := chi.URLParam(r, "what"); what {
	case "entries":
		es := publicEntries(x, site(r).PublicURL+"/c/"+c.Slug)
		whole, table = es, entriesTable(es)
	case "scores":
		ss := publicScores(x)
		whole, table = ss, scoresTable(ss)
	default:
		return notFound(w, r)
	}
	name := c.Slug + "-" + chi.URLParam(r, "what") + "." + chi.URLParam(r, "form")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	return writeTable(w, r, chi.URLParam(r, "form"), c.Title, whole, table)
}

func writeTable(w http.ResponseWriter, r *http.Request, form, title string, whole any, table [][]string) error {
	var b bytes.Buffer
	kind := "application/json"
	switch form {
	case "json":
		e := json.NewEncoder(&b)
		e.SetIndent("", "  ")
		if err := e.Encode(map[string]any{"challenge": title, "rows": whole}); err != nil {
			return err
		}
	case "csv":
		kind = "text/csv; charset=utf-8"
		if err := csv.NewWriter(&b).WriteAll(table); err != nil {
			return err
		}
	default:
		return notFound(w, r)
	}
	serve(w, r, kind, contentTag(b.Bytes()), time.Time{}, b.Bytes())
	return nil
}

// publicEntries are the dishes of a result page, each once, entries by number
// and house dishes behind them.
func publicEntries(x store.Results, page string) []publicEntry {
	e := entryList{page: page, at: map[int64]int{}}
	for _, d := range x.Recipes {
		e.of(d)
	}
	for _, d := range x.Finalists {
		e.of(d).Finalist = true
	}
	if x.Drawn != nil {
		e.of(*x.Drawn).Drawn = true
	}
	if n := len(x.Votes); n > 0 {
		for _, count := range x.Votes[n-1].Counts {
			e.of(count.Dish).Votes = new(count.Votes)
		}
	}
	place := 1
	for _, level := range x.Final {
		for _, d := range level {
			e.of(d).Place = place
		}
		place += len(level)
	}
	return e.sorted()
}

func entriesTable(es []publicEntry) [][]string {
	rows := [][]string{{"number", "title", "credit", "recipe", "finalist", "drawn", "place", "votes"}}
	for _, e := range es {
		votes := ""
		if e.Votes != nil {
			votes = strconv.Itoa(*e.Votes)
		}
		rows = append(rows, []string{numberOrNone(e.Number), cell(e.Title), cell(e.Credit), e.Recipe, strconv.FormatBool(e.Finalist), strconv.FormatBool(e.Drawn), numberOrNone(e.Place), votes})
	}
	return rows
}

func numberOrNone(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// publicScores are the scores that the result page shows.
func publicScores(x store.Results) []publicScore {
	ss := []publicScore{}
	for _, v := range x.Verdicts {
		for _, p := range v.Places {
			s := publicScore{Tasting: v.Round.Title, Number: p.Dish.Number, Title: p.Dish.Title, Cook: p.Cook, Place: p.Rank, Score: p.Score, Unit: v.Unit, Sheets: p.Sheets}
			for _, m := range p.Criteria {
				s.Criteria = append(s.Criteria, publicScoreOfThem{m.Name, m.Mean, m.Sheets})
			}
			ss = append(ss, s)
		}
	}
	return ss
}

func scoresTable(ss []publicScore) [][]string {
	rows := [][]string{{"tasting", "number", "title", "cook", "place", "score", "unit", "criterion", "mean", "sheets"}}
	for _, s := range ss {
		about := []string{cell(s.Tasting), numberOrNone(s.Number), cell(s.Title), cell(s.Cook), numberOrNone(s.Place), decimal(s.Score), string(s.Unit)}
		rows = append(rows, append(append([]string{}, about...), "", "", strconv.Itoa(s.Sheets)))
		for _, m := range s.Criteria {
			rows = append(rows, append(append([]string{}, about...), cell(m.Name), decimal(m.Mean), strconv.Itoa(m.Sheets)))
		}
	}
	return rows
}

func decimal(f float64) string { return strconv.FormatFloat(f, 'f', 4, 64) }
