package web

import "net/http"

func (s *Server) showJudgeDesk(w http.ResponseWriter, r *http.Request, d desk) error {
	return notFound(w, r)
}
