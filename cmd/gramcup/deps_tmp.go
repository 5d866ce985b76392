package main

import (
	_ "github.com/BurntSushi/toml"
	_ "github.com/alecthomas/kong"
	_ "github.com/chromedp/cdproto/page"
	_ "github.com/chromedp/chromedp"
	_ "github.com/gorilla/websocket"
	_ "github.com/prometheus/client_golang/prometheus"
	_ "github.com/prometheus/client_golang/prometheus/collectors"
	_ "github.com/prometheus/client_golang/prometheus/promhttp"
	_ "github.com/prometheus/client_golang/prometheus/testutil"
	_ "github.com/stretchr/testify/assert"
	_ "github.com/stretchr/testify/require"
	_ "go.bug.st/serial"
	_ "go.uber.org/goleak"
	_ "golang.org/x/sync/errgroup"
	_ "golang.org/x/sys/unix"
	_ "modernc.org/sqlite"
	_ "pgregory.net/rapid"
)

func main() {}
