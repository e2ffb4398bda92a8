package web

import (
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/intake"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showImports is where files are brought in, with the previews there are.
func (s *Server) showImports(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.importsPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Imports(p))
}

func (s *Server) importsPage(r *http.Request, d desk) (views.ImportsPage, error) {
	f := s.deskFrame(r, d, text.T(r.Context(), "Bring recipes in"))
	f.Said = said(r)
	p := views.ImportsPage{Frame: f, Base: d.base, Columns: map[string]string{}, Entries: d.challenge.Entries}
	if err := d.challenge.MayBringIn(s.db.Now()); err != nil {
		p.Shut = err
	}
	var err error
	if p.Imports, err = s.db.Imports(r.Context(), d.actor, d.challenge.ID); err != nil {
		return p, err
	}
	p.Unanswered, err = s.db.Unanswered(r.Context(), d.challenge.ID)
	return p, err
}

// bringIn reads what was sent into a preview; nothing becomes an entry yet.
func (s *Server) bringIn(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	err = parse(r)
	if r.MultipartForm != nil {
		defer r.MultipartForm.RemoveAll() //nolint:errcheck // the system clears its folder of temporary files
	}
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		err = challenge.Refuse(challenge.Invalid, "file", "This is more than 64 MB. Send it in smaller parts.")
	}
	var id int64
	if err == nil {
		id, err = s.stage(r, d)
	}
	if err == nil {
		return to(w, r, d.base+"/import/"+strconv.FormatInt(id, 10))
	}
	m, ok := refusals(err)
	if !ok {
		return err
	}
	p, pageErr := s.importsPage(r, d)
	if pageErr != nil {
		return pageErr
	}
	p.Messages, p.Text, p.Columns = m, r.PostFormValue("text"), columnsOf(r)
	s.show(w, r, formStatus(err), views.Imports(p))
	return nil
}

func columnsOf(r *http.Request) map[string]string {
	columns := map[string]string{}
	for _, role := range intake.Roles {
		columns[role] = field(r, "column-"+role)
	}
	return columns
}

// stage reads the files and the pasted text, one after the other: each may
// take as much memory as a large mailbox needs.
func (s *Server) stage(r *http.Request, d desk) (int64, error) {
	var files []*multipart.FileHeader
	if r.MultipartForm != nil {
		for _, f := range r.MultipartForm.File["file"] {
			if f.Size > 0 {
				files = append(files, f)
			}
		}
	}
	pasted := r.PostFormValue("text")
	if len(files) == 0 && field(r, "text") == "" {
		return 0, challenge.Refuse(challenge.Invalid, "file", "Choose a file, or paste a mail or a recipe below.")
	}
	select {
	case s.importing <- struct{}{}:
		defer func() { <-s.importing }()
	case <-r.Context().Done():
		return 0, r.Context().Err()
	}
	ctx := r.Context()
	id, err := s.db.BeginImport(ctx, d.actor, d.challenge.ID, importName(r, files))
	if err != nil {
		return 0, err
	}
	options := intake.Options{Columns: columnsOf(r), PDF: s.pdf(ctx)}
	for _, f := range files {
		data, err := contents(f)
		if err != nil {
			return 0, err
		}
		if err := s.db.StageImport(ctx, id, intake.All(f.Filename, data, options)); err != nil {
			return 0, err
		}
	}
	if pasted != "" {
		if err := s.db.StageImport(ctx, id, intake.All("", []byte(pasted), options)); err != nil {
			return 0, err
		}
	}
	return id, s.db.ReadyImport(ctx, d.actor, d.challenge.ID, id)
}

// pdf is the reader of PDFs for one request.
func (s *Server) pdf(ctx context.Context) func([]byte) (string, error) {
	if s.config.PDF == nil {
		return nil
	}
	return func(data []byte) (string, error) { return s.config.PDF(ctx, data) }
}

func contents(f *multipart.FileHeader) ([]byte, error) {
	file, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

func importName(r *http.Request, files []*multipart.FileHeader) string {
	switch len(files) {
	case 0:
		return text.T(r.Context(), "Pasted text")
	case 1:
		return files[0].Filename
	}
	return text.N(r.Context(), len(files), "One file", "%v files")
}

// importOf finds the import a path names.
func (s *Server) importOf(r *http.Request, d desk) (store.Import, []store.ImportItem, error) {
	id, err := strconv.ParseInt(chi.URLParam(r, "import"), 10, 64)
	if err != nil {
		return store.Import{}, nil, challenge.NotFound("There is no such import. It may have been put away.")
	}
	return s.db.Import(r.Context(), d.actor, d.challenge.ID, id)
}

// showImport is the preview of a file, and how far the making of its entries
// is. While that goes on the page loads itself again.
func (s *Server) showImport(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	i, items, err := s.importOf(r, d)
	if err != nil {
		return err
	}
	if i.Working() {
		w.Header().Set("Refresh", "3")
	}
	return s.ok(w, r, views.Import(s.importPage(r, d, i, items)))
}

func (s *Server) importPage(r *http.Request, d desk, i store.Import, items []store.ImportItem) views.ImportPage {
	f := s.deskFrame(r, d, text.T(r.Context(), "Bring in: %v", i.Name))
	p := views.ImportPage{Frame: f, Base: d.base, Import: i, Shut: d.challenge.MayBringIn(s.db.Now())}
	p.Sort(items)
	return p
}

func (s *Server) chooseImport(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	i, items, err := s.importOf(r, d)
	if err != nil {
		return err
	}
	var seqs []int
	for _, v := range r.PostForm["item"] {
		if n, err := strconv.Atoi(v); err == nil {
			seqs = append(seqs, n)
		}
	}
	err = s.db.ChooseImport(r.Context(), d.actor, d.challenge.ID, i.ID, seqs)
	if err == nil {
		return to(w, r, d.base+"/import/"+strconv.FormatInt(i.ID, 10))
	}
	m, ok := refusals(err)
	if !ok {
		return err
	}
	p := s.importPage(r, d, i, items)
	p.Messages, p.Ticked = m, map[int]bool{}
	for _, n := range seqs {
		p.Ticked[n] = true
	}
	s.show(w, r, formStatus(err), views.Import(p))
	return nil
}

func (s *Server) putImportAway(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	i, _, err := s.importOf(r, d)
	if err != nil {
		return err
	}
	if err := s.db.DiscardImport(r.Context(), d.actor, d.challenge.ID, i.ID); err != nil {
		return err
	}
	return to(w, r, d.base+"/import?said=removed")
}
