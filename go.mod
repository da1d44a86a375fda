module limn

go 1.26.0

require (
	github.com/BurntSushi/toml v1.6.0
	github.com/jsimonetti/go-artnet v0.0.0-20250601170402-73b5741bebbf
	github.com/pelletier/go-toml/v2 v2.4.3
	github.com/rogpeppe/go-internal v1.16.0
	github.com/spf13/cobra v1.10.2
	github.com/spf13/pflag v1.1.0
	go.bug.st/serial v1.8.0
	go.uber.org/goleak v1.3.0
	golang.org/x/net v0.62.0
	golang.org/x/sys v0.50.0
	golang.org/x/term v0.48.0
	golang.org/x/text v0.44.0
	gonum.org/v1/gonum v0.17.0
	pgregory.net/rapid v1.3.0
)

require (
	github.com/bep/imagemeta v1.0.1 // indirect
	github.com/fsnotify/fsnotify v1.10.1 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	golang.org/x/image v0.47.0 // indirect
	golang.org/x/tools v0.52.0 // indirect
)
