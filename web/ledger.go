package web

import (
	"bufio"
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
	p := views.LedgerPage{Base: "/c/" + c.Slug + "/ledger", Slug: c.Slug, Challenge: c.Title}
	l, err := s.db.LedgerStretch(r.Context(), c, challenge.Public, func(size int) (int, int) {
		p.From = stretch(r, size)
		p.To = min(p.From+ledgerLines, size)
		return p.From, p.To
	})
	if err != nil {
		return err
	}
	key, err := s.db.LedgerKey(r.Context())
	if err != nil {
		return err
	}
	if p.Removed, err = s.db.RehearsalsOfRemoved(r.Context(), c.ID); err != nil {
		return err
	}
	p.Frame = s.publicFrame(r, text.T(r.Context(), "Ledger: %v", c.Title), text.T(r.Context(), "What was recorded of “%v”, line by line, so that later changes show.", c.Title))
	p.Frame.Wide = true
	p.Size, p.Sealed, p.Checkpoint, p.Key = l.Size, l.Sealed, l.Checkpoint, draw.KeyText(key)
	p.Earlier = -1
	if p.From > 0 {
		p.Earlier = max(0, p.From-ledgerLines)
	}
	for _, leaf := range l.Leaves {
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

// A ledgerFile is the public ledger for programs: its leaves follow, one after
// the other. A leaf that is not shown has its commitment only; salt and body
// open one that is.
type ledgerFile struct {
	Version    int    `json:"version"`
	Challenge  string `json:"challenge"`
	Checkpoint string `json:"checkpoint"`
	Key        string `json:"key"`
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

// ledgerPiece is how many leaves of the file are read at a time: a long ledger
// is never held whole, and no reading waits for a slow visitor.
const ledgerPiece = 1000

func (s *Server) ledgerJSON(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	key, err := s.db.LedgerKey(r.Context())
	if err != nil {
		return err
	}
	size, from := 0, 0
	piece := func() (store.Ledger, error) {
		return s.db.LedgerStretch(r.Context(), c, challenge.Public, func(now int) (int, int) {
			if from == 0 {
				size = now
			}
			return from, min(from+ledgerPiece, size)
		})
	}
	l, err := piece()
	if err != nil {
		return err
	}
	head, err := json.Marshal(ledgerFile{Version: 1, Challenge: c.Title, Checkpoint: l.Checkpoint, Key: draw.KeyText(key)})
	if err != nil {
		return err
	}
	downloads(w, "ledger-"+c.Slug+".json")
	out := bufio.NewWriterSize(w, 1<<16)
	out.Write(head[:len(head)-1]) //nolint:errcheck // Flush returns the first error
	out.WriteString(`,"leaves":[`)
	for from < size {
		if from > 0 {
			if l, err = piece(); err != nil {
				return err
			}
		}
		for _, leaf := range l.Leaves {
			line, err := json.Marshal(fileLeaf(leaf))
			if err != nil {
				return err
			}
			if leaf.Seq > 0 {
				out.WriteByte(',')
			}
			out.Write(line) //nolint:errcheck // as above
		}
		from += ledgerPiece
	}
	out.WriteString("]}")
	return out.Flush()
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
