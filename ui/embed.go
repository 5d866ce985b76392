package ui

import (
	"embed"
	"io/fs"
)

//go:embed web/index.html web/robots.txt web/*.css web/icon.svg web/*.js web/view/*.js
var embedded embed.FS

// Web is the page as it is built into the program.
func Web() fs.FS {
	web, err := fs.Sub(embedded, "web")
	if err != nil {
		return embedded // can not happen: "web" is a valid name
	}
	return web
}
