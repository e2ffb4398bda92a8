package web

import (
	"encoding/json"
	"net/http"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// ledgerLines is how many leaves one page shows.
const ledgerLines = 200

// showLedger is a challenge's ledger as the public may see it now.
func (s *Server) showLedger(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	l, err := s.db.Ledger(r.Context(), c, challenge.Public)
	if err != nil {
		return err
	}
	key, err := s.db.LedgerKey(r.Context())
	if err != nil {
		return err
	}
	f := s.frame(r, text.T(r.Context(), "Ledger: %v", c.Title))
	f.Wide = true
	p := views.LedgerPage{Frame: f, Base: "/c/" + c.Slug + "/ledger", Challenge: c.Title, Size: len(l.Leaves), Checkpoint: l.Checkpoint, Key: draw.KeyText(key)}
	for _, leaf := range l.Leaves {
		if leaf.Opening == nil && !leaf.Erased {
			p.Sealed++
		}
	}
	p.From = stretch(r, len(l.Leaves))
	p.To, p.Earlier = min(p.From+ledgerLines, len(l.Leaves)), p.From-ledgerLines
	if p.From > 0 {
		p.Earlier = max(0, p.Earlier)
	} else {
		p.Earlier = -1
	}
	for _, leaf := range l.Leaves[p.From:p.To] {
		p.Lines = append(p.Lines, views.NewLedgerLine(r.Context(), c, leaf))
	}
	return s.published(w, r, views.Ledger(p))
}

// stretch is where the page begins: as asked, or with the newest leaves.
func stretch(r *http.Request, size int) int {
	from, err := strconv.Atoi(r.URL.Query().Get("from"))
	if err != nil {
		from = size - ledgerLines
	}
	return max(0, min(from, size))
}

// A ledgerFile is the public ledger for programs. A leaf that is not shown has
// its commitment only; salt and body open one that is.
type ledgerFile struct {
	Version    int          `json:"version"`
	Challenge  string       `json:"challenge"`
	Checkpoint string       `json:"checkpoint"`
	Key        string       `json:"key"`
	Leaves     []ledgerLeaf `json:"leaves"`
}

type ledgerLeaf struct {
	Leaf       int64             `json:"leaf"`
	Commitment ledger.Commitment `json:"commitment"`
	Erased     bool              `json:"erased,omitempty"`
	Kind       string            `json:"kind,omitempty"`
	Round      int               `json:"round,omitempty"`
	Salt       *ledger.Salt      `json:"salt,omitempty"`
	Body       string            `json:"body,omitempty"`
}

func (s *Server) ledgerJSON(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	l, err := s.db.Ledger(r.Context(), c, challenge.Public)
	if err != nil {
		return err
	}
	key, err := s.db.LedgerKey(r.Context())
	if err != nil {
		return err
	}
	file := ledgerFile{Version: 1, Challenge: c.Title, Checkpoint: l.Checkpoint, Key: draw.KeyText(key), Leaves: make([]ledgerLeaf, len(l.Leaves))}
	for i, leaf := range l.Leaves {
		file.Leaves[i] = fileLeaf(leaf)
	}
	b, err := json.Marshal(file)
	if err != nil {
		return err
	}
	return download(w, "ledger-"+c.Slug+".json", b)
}

func fileLeaf(leaf store.Leaf) ledgerLeaf {
	out := ledgerLeaf{Leaf: leaf.Seq, Commitment: leaf.Content, Erased: leaf.Erased}
	if leaf.Opening != nil {
		out.Kind, out.Round, out.Salt, out.Body = leaf.Kind, leaf.Round, &leaf.Opening.Salt, string(leaf.Opening.Body)
	}
	return out
}

// ledgerProof shows whoever kept a head that nothing before it was changed.
func (s *Server) ledgerProof(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	from, to, err := span(r)
	if err != nil {
		return err
	}
	p, err := s.db.Continuation(r.Context(), c, from, to)
	if err != nil {
		return err
	}
	b, err := json.Marshal(proofFile{p.From, p.FromRoot, p.To, p.ToRoot, append(ledger.Proof{}, p.Proof...), p.Checkpoint})
	if err != nil {
		return err
	}
	return download(w, "ledger-"+c.Slug+"-proof.json", b)
}

// A proofFile is a consistency proof (RFC 9162, section 2.1.4).
type proofFile struct {
	From       int64        `json:"from"`
	FromRoot   ledger.Hash  `json:"from_root"`
	To         int64        `json:"to"`
	ToRoot     ledger.Hash  `json:"to_root"`
	Proof      ledger.Proof `json:"proof"`
	Checkpoint string       `json:"checkpoint"`
}

// span is from which size to which a proof is asked for; without an end it
// leads to the ledger as it is now.
func span(r *http.Request) (from, to int64, err error) {
	from, err = strconv.ParseInt(strings.TrimSpace(r.URL.Query().Get("from")), 10, 64)
	if end := r.URL.Query().Get("to"); err == nil && end != "" {
		to, err = strconv.ParseInt(end, 10, 64)
		if to == 0 {
			to = -1
		}
	}
	if err != nil {
		return 0, 0, challenge.Refuse(challenge.Invalid, "", "Say from which number of lines the proof is to lead: ledger/proof?from=12")
	}
	return from, to, nil
}
