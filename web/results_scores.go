package web

import (
	"encoding/csv"
	"encoding/json"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/store"
)

// A scoreFile is the closed tastings of a challenge to take along. Judges
// stand as numbers from 1, in no order that means anything.
type scoreFile struct {
	Challenge string        `json:"challenge"`
	Tastings  []scoredTable `json:"tastings"`
}

type scoredTable struct {
	Title    string              `json:"title"`
	Rule     tasting.Rule        `json:"rule"`
	Criteria []tasting.Criterion `json:"criteria"`
	Outcome  tasting.Outcome     `json:"outcome"`
	Unit     tasting.Unit        `json:"unit"`
	Plates   []scoredPlate       `json:"plates"`
	Sheets   []scoredSheet       `json:"sheets"`
}

type scoredPlate struct {
	Code  int            `json:"code"`
	Dish  string         `json:"dish"`
	Cook  string         `json:"cook"`
	Rank  int            `json:"rank"`
	Score float64        `json:"score"`
	Means []tasting.Mean `json:"criteria"`
}

type scoredSheet struct {
	Judge   int           `json:"judge"`
	Code    int           `json:"code"`
	Dish    string        `json:"dish"`
	Answers store.Answers `json:"answers"`
}

func (s *Server) scoreFile(r *http.Request) (scoreFile, string, error) {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return scoreFile{}, "", err
	}
	f := scoreFile{Challenge: d.challenge.Title}
	for _, round := range d.challenge.Of(challenge.Tasting) {
		if round.State != challenge.Done {
			continue
		}
		x, err := s.db.TastingResult(r.Context(), d.actor, d.challenge.ID, round.ID)
		if err != nil {
			return f, "", err
		}
		f.Tastings = append(f.Tastings, newScoredTable(round, x))
	}
	if len(f.Tastings) == 0 {
		return f, "", challenge.Refuse(challenge.Sealed, "", "The sheets are sealed until the tasting is closed, from you too.")
	}
	return f, d.challenge.Slug, nil
}

func newScoredTable(round challenge.Round, x store.TastingResult) scoredTable {
	t := scoredTable{Title: round.Title, Rule: x.Record.Verdict.Rule, Criteria: x.Record.Criteria, Outcome: x.Record.Verdict.Outcome, Unit: x.Record.Verdict.Unit}
	for _, p := range x.Places {
		t.Plates = append(t.Plates, scoredPlate{p.Served.Code, p.Served.Dish.Label(), p.Served.Cook, p.Rank, p.Score, p.Criteria})
	}
	var judges []int64
	for _, sheet := range x.Sheets {
		at := slices.Index(judges, sheet.Judge)
		if at < 0 {
			judges = append(judges, sheet.Judge)
			at = len(judges) - 1
		}
		t.Sheets = append(t.Sheets, scoredSheet{at + 1, sheet.Served.Code, sheet.Served.Dish.Label(), sheet.Answers})
	}
	return t
}

func (s *Server) scoresJSON(w http.ResponseWriter, r *http.Request) error {
	f, slug, err := s.scoreFile(r)
	if err != nil {
		return err
	}
	attachment(w, slug+"-scores.json", "application/json")
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(f)
}

func (s *Server) scoresCSV(w http.ResponseWriter, r *http.Request) error {
	f, slug, err := s.scoreFile(r)
	if err != nil {
		return err
	}
	attachment(w, slug+"-scores.csv", "text/csv; charset=utf-8")
	c := csv.NewWriter(w)
	lines := [][]string{{"tasting", "code", "dish", "judge", "criterion", "weight", "score", "comment", "may be quoted"}}
	for _, t := range f.Tastings {
		for _, sheet := range t.Sheets {
			lines = append(lines, sheetRows(t, sheet)...)
		}
	}
	return c.WriteAll(lines)
}

func sheetRows(t scoredTable, sheet scoredSheet) (rows [][]string) {
	for _, c := range t.Criteria {
		score := ""
		if p, scored := sheet.Answers.Scores[c.Key]; scored {
			score = p.String()
		}
		said := sheet.Answers.Comments[c.Key]
		row := []string{cell(t.Title), strconv.Itoa(sheet.Code), cell(sheet.Dish), strconv.Itoa(sheet.Judge), cell(c.Name), strconv.Itoa(c.Weight),
			score, cell(said.Text), strconv.FormatBool(said.Quotable)}
		rows = append(rows, row)
	}
	return rows
}

// cell keeps a spreadsheet from taking what somebody typed for a formula.
func cell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

func attachment(w http.ResponseWriter, name, kind string) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Cache-Control", "no-store")
}
