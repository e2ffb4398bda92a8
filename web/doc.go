// Package web is the site: routes, handlers and pages.
//
// routes.go is the site map. A handler reads in the same order everywhere:
// who is asking, decode the form, ask the store, show a page. It decides
// nothing: rules live in package challenge, transactions in package store. A
// handler returns an error; handler.go turns it into a page with the right
// status. One file serves one screen, with its template of the same name in
// web/views.
package web
