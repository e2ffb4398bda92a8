package web

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/static"
)

// routes is the site map.
func (s *Server) routes() http.Handler {
	r := chi.NewRouter()
	r.Use(s.logged, headers, bodyLimit, s.recovered)
	r.Get("/healthz", s.health)
	r.Get("/readyz", s.ready)
	r.Get(static.Prefix+"*", static.Serve)
	r.Head(static.Prefix+"*", static.Serve)
	r.Group(func(r chi.Router) {
		r.Use(s.voiced, s.atHome, s.sessions.LoadAndSave, s.recognised, s.sameOrigin, s.patient)
		r.NotFound(s.page(notFound))
		r.MethodNotAllowed(s.page(notFound))
		s.publicRoutes(r)
		s.hostRoutes(r)
		r.Route("/host/c/{slug}", s.deskRoutes)
		r.Route("/with/{purpose}/{token}", s.deskRoutes)
	})
	return r
}

func notFound(http.ResponseWriter, *http.Request) error {
	return challenge.NotFound("There is no page at this address.")
}

// publicRoutes need no link and no password, or bring their own token.
func (s *Server) publicRoutes(r chi.Router) {
	get, post := s.verbs(r)
	get("/", s.showFront)
	get("/setup/{token}", s.showSetUp)
	post("/setup/{token}", s.setUp)
	get("/login", s.showSignIn)
	post("/login", s.doSignIn)
	post("/login/passkey/begin", s.beginPasskeySignIn)
	post("/login/passkey", s.signInByPasskey)
	post("/logout", s.signOut)
	get("/reset/{token}", s.showReset)
	post("/reset/{token}", s.reset)
	get("/photo/{sum}", s.showPhoto)
	get("/feed.atom", s.showFeed)
	get("/archive", s.showArchive)
	get("/season/{season}", s.showSeason)
	get("/mine", s.showMineForm)
	post("/mine", s.askMine)
	get("/mine/{token}", s.showMine)
	post("/mine/{token}/{dish}", s.openMine)

	get("/c/{slug}", s.showChallenge)
	get("/c/{slug}/card.png", s.challengeCard)
	get("/c/{slug}/calendar.ics", s.showDates)
	get("/c/{slug}/recipe/{number}/card.png", s.recipeCard)
	get("/c/{slug}/enter", s.showEnter)
	post("/c/{slug}/enter", s.enter)
	get("/c/{slug}/draw/{round}", s.showPublicDraw)
	get("/c/{slug}/draw/{round}/record.json", s.drawRecord)
	get("/c/{slug}/draw/{round}/list.json", s.drawListJSON)
	get("/c/{slug}/rehearsals/{number}/record.json", s.rehearsalRecord)
	get("/c/{slug}/draw/{round}/check", s.showDrawCheck)
	get("/c/{slug}/draw/{round}/protocol", s.showDrawProtocol)
	get("/c/{slug}/list", s.showList)
	get("/c/{slug}/list.json", s.listJSON)
	get("/c/{slug}/ledger", s.showLedger)
	get("/c/{slug}/ledger.json", s.ledgerJSON)
	get("/c/{slug}/ledger/proof", s.ledgerProof)
	get("/c/{slug}/link", s.showLinkAgain)
	post("/c/{slug}/link", s.linkAgain)

	get("/c/{slug}/results", s.showResults)
	get("/c/{slug}/results/{what}.{form}", s.resultsFile)
	get("/c/{slug}/still.png", s.still)
	get("/c/{slug}/recipe/{number}", s.showRecipe)
	get("/c/{slug}/theme", s.showTheme)
	post("/c/{slug}/theme", s.castTheme)
	get("/c/{slug}/vote/{round}", s.showBallot)
	post("/c/{slug}/vote/{round}", s.castBallot)
	get("/c/{slug}/vote/{round}/ballots", s.showBallots)
	get("/c/{slug}/vote/{round}/ballots.json", s.ballotsFile)
	get("/vote/{token}", s.followVotingLink)
	get("/seat/{token}", s.showSeat)
	post("/seat/{token}", s.takeSeat)

	get("/entry/{token}", s.showOwn)
	get("/entry/{token}/change", s.showChange)
	post("/entry/{token}/change", s.change)
	post("/entry/{token}/consents", s.consents)
	post("/entry/{token}/withdraw", s.withdraw)
	post("/entry/{token}/renew", s.renewOwn)
	post("/entry/{token}/answer", s.answerQuestion)
	post("/entry/{token}/to-cook", s.answerCook)
	post("/entry/{token}/all", s.askMineFrom)
	post("/entry/{token}/prize", s.answerPrize)
	get("/entry/{token}/slip.json", s.slip)
	get("/entry/{token}/erase", s.showEraseOwn)
	post("/entry/{token}/erase", s.eraseOwn)
}

// hostRoutes are the host's pages that belong to no single challenge.
func (s *Server) hostRoutes(r chi.Router) {
	get, post := s.verbs(r)
	get("/host", s.showHome)
	get("/host/new", s.showNew)
	post("/host/new", s.create)
	post("/host/season", s.newSeason)
	get("/host/season/{season}", s.showHostSeason)
	post("/host/season/{season}", s.saveSeason)
	get("/host/community", s.showCommunity)
	post("/host/community", s.saveCommunity)
	get("/host/account", s.showAccount)
	post("/host/account/password", s.changePassword)
	post("/host/account/signed-in/{id}/end", s.endSignIn)
	post("/host/account/signed-in/end", s.endOtherSignIns)
	post("/host/account/passkeys/begin", s.beginPasskey)
	post("/host/account/passkeys", s.addPasskey)
	post("/host/account/passkeys/{id}/remove", s.removePasskey)
	get("/host/outbox", s.showOutbox)
	get("/host/outbox/{id}.eml", s.messageFile)
	post("/host/outbox/{id}/sent", s.markSent)
}

// deskRoutes are the screens of working on one challenge. They are the same
// for a host and for the holder of a private link; each asks what it is for.
func (s *Server) deskRoutes(r chi.Router) {
	get, post := s.verbs(r)
	get("/", s.showDesk)
	get("/settings", s.showSettings)
	post("/settings", s.saveSettings)
	post("/announce", s.announce)
	get("/qr.svg", s.qr)
	get("/rounds", s.showRounds)
	post("/rounds", s.addRound)
	post("/rounds/{round}", s.editRound)
	post("/rounds/{round}/earlier", s.moveRound)
	post("/rounds/{round}/remove", s.removeRound)
	post("/rounds/{round}/open", s.openRound)
	post("/rounds/{round}/close", s.closeRound)
	s.correctScreens(get, post)
	get("/people", s.showPeople)
	post("/people", s.invite)
	post("/people/{id}/renew", s.renewLink)
	post("/people/{id}/remove", s.removePerson)
	post("/people/{id}/pictures", s.showPictures)
	post("/credit", s.creditAs)
	post("/diet", s.declareDiet)
	get("/entries", s.showField)
	get("/entries/{number}", s.showEntry)
	get("/import", s.showImports)
	post("/import", s.bringIn)
	get("/import/{import}", s.showImport)
	post("/import/{import}", s.chooseImport)
	post("/import/{import}/away", s.putImportAway)
	get("/export/{format}", s.export)
	post("/entries/{number}/sender", s.showSender)
	get("/entries/{number}/erase", s.showErase)
	post("/entries/{number}/erase", s.erase)

	s.readingScreens(get, post)
	s.eligibleScreens(get, post)
	get("/pick/{round}", s.showPick)
	post("/pick/{round}/plan", s.savePickPlan)
	get("/pick/{round}/compare", s.comparePick)
	get("/pick/{round}/{number}", s.showPickEntry)
	post("/pick/{round}/{number}", s.choose)
	post("/pick/{round}/seal", s.sealPick)
	s.drawScreens(get, post)
	s.rehearsalScreens(get, post)

	get("/tasting/{round}", s.showTasting)
	get("/tasting/{round}/kitchen", s.showKitchenCodes)
	get("/tasting/{round}/table", s.showTableCodes)
	post("/tasting/{round}/{code}/out", s.takeOut)
	post("/tasting/{round}/apart", s.keepApart)
	post("/tasting/{round}/standins", s.standIns)
	get("/score/{round}", s.showScores)
	get("/score/{round}/{code}", s.showSheet)
	post("/score/{round}/{code}", s.saveSheet)
	get("/vote/{round}", s.showVote)
	post("/vote/{round}/voters", s.inviteVoters)
	get("/results", s.showHostResults)
	post("/results", s.savePublication)
	get("/still.png", s.stillAhead)
	get("/prize", s.showPrize)
	post("/prize", s.offerPrize)
	post("/prize/address", s.showPostal)
	post("/prize/sent", s.prizeSent)
	get("/next", s.showNext)
	post("/next", s.startNext)
	post("/next/themes", s.putThemes)
	get("/announcements", s.showAnnouncements)
	get("/announcements/{file}", s.announcementFile)
	post("/results/cooked/{number}", s.decideCooked)
	get("/results/scores.json", s.scoresJSON)
	get("/results/scores.csv", s.scoresCSV)
	get("/dishes", s.showDishes)
	get("/dishes/{dish}", s.showDish)
	post("/dishes/{dish}", s.saveDish)
	get("/cook/{round}", s.showCook)
	post("/cook/{round}", s.savePlate)
	s.kitchenScreens(get, post)
}

// kitchenScreens are the pages of a cooking round's service.
func (s *Server) kitchenScreens(get, post func(string, handler)) {
	post("/cook/{round}/service", s.saveService)
	get("/cook/{round}/sheet", s.showRunSheet)
	get("/cook/{round}/service.ics", s.calendar)
	get("/cook/{round}/shopping", s.showShopping)
	post("/cook/{round}/shopping", s.saveShopping)
	get("/cook/{round}/shopping.csv", s.shoppingCSV)
	get("/cook/{round}/shopping.txt", s.shoppingText)
	get("/cook/{round}/prep", s.showPrep)
	get("/cook/{round}/tasks", s.showTasks)
	post("/cook/{round}/tasks", s.saveTasks)
	get("/cook/{round}/now", s.showNow)
	post("/cook/{round}/now", s.noteNow)
	get("/cook/{round}/log", s.showLog)
	post("/cook/{round}/log", s.saveLog)
}

type handler = func(http.ResponseWriter, *http.Request) error

// verbs returns the two ways to route a handler that returns an error.
func (s *Server) verbs(r chi.Router) (get, post func(string, handler)) {
	return func(p string, h handler) { r.Get(p, s.page(h)) }, func(p string, h handler) { r.Post(p, s.page(h)) }
}
