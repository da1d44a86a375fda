package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"limn/dmx"
	"limn/dmx/sacn"
)

// listenView prints reports of what is heard.
type listenView struct {
	out     io.Writer
	json    bool
	slots   bool // as a table
	told    *reader
	picture *livePicture // nil: plain lines
}

func (v *listenView) show(at, since time.Duration, h *hearing) error {
	reports, air := h.heard.report(), h.air()
	var lights []toldLight
	if v.told != nil {
		lights = v.told.readBoth(h.heard, air)
	}
	if v.json {
		o := listenObject(at, since, reports, lights, h.refused(), v.told).(object)
		if h.sacn != nil {
			o = append(o, member{"sacn", airObject(air)})
		}
		return writeJSON(v.out, o)
	}
	w := width(v.out)
	text := listenText(at, since, reports, lights, h.refused(), w) + cut(airText(air), w)
	if v.slots {
		text += slotTables(reports, air)
	}
	text = cleanLines(text)
	if v.picture != nil {
		return v.picture.draw(cutLines(text, height(v.out)-1), w)
	}
	_, err := io.WriteString(v.out, text+"\n")
	return err
}

// rateFrom is the shortest interval that a rate is given for.
const rateFrom = reportEvery / 4

// rate is frames a second, NaN where the interval is too short to tell.
func rate(frames int64, since time.Duration) float64 {
	if since < rateFrom {
		return none
	}
	return float64(frames) / since.Seconds()
}

// maxChangedShown is how many changed slots a line of the table names.
const maxChangedShown = 8

// listenText is the table of one interval.
func listenText(at, since time.Duration, reports []portReport, lights []toldLight, refused int64, width int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "after %.1f s: %s\n", at.Seconds(), heardText(reports, refused))
	if len(reports) > 0 {
		fmt.Fprintf(&b, "%8s  %-21s %8s %9s %6s %9s  %s\n", "universe", "from", "frames/s", "received", "gaps", "jitter ms", "slots changed")
	}
	for _, r := range reports {
		from := r.From.String()
		if r.Senders > 1 {
			from += fmt.Sprintf(" and %d more", r.Senders-1)
		}
		fmt.Fprintf(&b, "%8d  %-21s %8.1f %9d %6d %9.1f  %s\n", r.PortAddress, from,
			rate(r.Fresh, since), r.Received, r.Lost, inMilliseconds(r.Jitter), changedText(r.Changed))
	}
	for _, r := range reports {
		if r.Conflict != "" {
			fmt.Fprintf(&b, "warning: %s\n", r.Conflict)
		}
	}
	if len(lights) > 0 {
		fmt.Fprintf(&b, "\n%-20s %-26s %s\n", "told", "colour", "level")
	}
	for _, l := range lights {
		if l.hand {
			fmt.Fprintf(&b, "%-20s %s\n", l.name, "set by hand")
			continue
		}
		fmt.Fprintf(&b, "%-20s %-26s %s\n", l.name, lightColour(l.light), shareText(l.level))
	}
	return cut(b.String(), width)
}

func inMilliseconds(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

func heardText(reports []portReport, refused int64) string {
	text := "nothing has arrived yet"
	if len(reports) > 0 {
		text = count(len(reports), "universe")
	}
	if refused > 0 {
		text += fmt.Sprintf(", %s refused as malformed", count(int(refused), "datagram"))
	}
	return text
}

// airText is the table of sACN, empty when nothing came.
func airText(air []sacn.Universe) string {
	var b strings.Builder
	for i := range air {
		u := &air[i]
		for j := range u.Sources {
			s := &u.Sources[j]
			if b.Len() == 0 {
				fmt.Fprintf(&b, "%8s  %-34s %8s %8s %9s %6s %9s  %s\n", "sACN", "from", "priority", "frames/s", "received", "gaps", "jitter ms", "")
			}
			state := "not followed"
			switch {
			case s.Terminated:
				state = "has ended"
			case !s.Present:
				state = fmt.Sprintf("silent for %.1f s", s.Silent.Seconds())
			case s.InForce:
				state = "in force"
			}
			fmt.Fprintf(&b, "%8d  %-34s %8d %8.1f %9d %6d %9.1f  %s\n", u.Number, s.Title(), s.Priority, s.Rate, s.Received, s.Lost, inMilliseconds(s.Jitter), state)
		}
		if text := u.ConflictText(); text != "" {
			fmt.Fprintf(&b, "warning: %s\n", text)
		}
	}
	return b.String()
}

// slotsInRow is how many slots a row of a slot table shows.
const slotsInRow = 16

// slotTables shows the slots of every universe; rows of zeros are left out.
func slotTables(reports []portReport, air []sacn.Universe) string {
	var b strings.Builder
	for i := range reports {
		fmt.Fprintf(&b, "\nArt-Net universe %d\n", reports[i].PortAddress)
		slotRows(&b, reports[i].Data[:reports[i].Length])
	}
	for i := range air {
		if s := air[i].Sources; len(s) > 0 {
			fmt.Fprintf(&b, "\nsACN universe %d\n", air[i].Number)
			slotRows(&b, s[0].Slots)
		}
	}
	return b.String()
}

func slotRows(b *strings.Builder, slots []byte) {
	for at := 0; at < len(slots); at += slotsInRow {
		row := slots[at:min(at+slotsInRow, len(slots))]
		if strings.Trim(string(row), "\x00") == "" {
			continue
		}
		fmt.Fprintf(b, "%5d:", at+1)
		for _, v := range row {
			fmt.Fprintf(b, " %3d", v)
		}
		b.WriteByte('\n')
	}
}

func changedText(slots []int) string {
	if len(slots) == 0 {
		return "-"
	}
	var b strings.Builder
	for i, s := range slots[:min(len(slots), maxChangedShown)] {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprint(&b, s)
	}
	if more := len(slots) - maxChangedShown; more > 0 {
		fmt.Fprintf(&b, " and %d more", more)
	}
	return b.String()
}

// cut shortens lines to a width, so that a narrow terminal does not wrap them.
func cut(text string, width int) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if r := []rune(line); len(r) > width {
			lines[i] = string(r[:max(width-1, 0)]) + "…"
		}
	}
	return strings.Join(lines, "\n")
}

// airObject is the sACN of one line of listen --json.
func airObject(air []sacn.Universe) object {
	out := object{}
	for i := range air {
		u := &air[i]
		sources := []any{}
		for j := range u.Sources {
			s := &u.Sources[j]
			sources = append(sources, object{
				{"name", s.Name},
				{"from", s.From.String()},
				{"cid", s.CID.String()},
				{"priority", s.Priority},
				{"present", s.Present},
				{"in_force", s.InForce},
				{"ended", s.Terminated},
				{"rate", number{s.Rate, 1}},
				{"received", s.Received},
				{"gaps", s.Lost},
				{"jitter_ms", milliseconds(s.Jitter)},
				{"longest_gap_ms", milliseconds(s.LongestGap)},
				{"slots", fmt.Sprintf("%x", s.Slots)},
			})
		}
		out = append(out, member{fmt.Sprint(u.Number), object{{"sources", sources}, {"conflict", u.ConflictText()}}})
	}
	return out
}

// readBoth gives the light of every source by what was heard last of either protocol, Art-Net first; nil as long as
// nothing of this rig has arrived.
func (rd *reader) readBoth(heard *reception, air []sacn.Universe) []toldLight {
	any := false
	for i := range rd.frames {
		if heard.frames(rd.addresses[i:i+1], rd.frames[i:i+1]) > 0 {
			any = true
			continue
		}
		for j := range air {
			if s := air[j].Sources; air[j].Number == rd.numbers[i] && len(s) > 0 && len(s[0].Slots) > 0 {
				rd.frames[i] = dmx.Frame{}
				copy(rd.frames[i][:], s[0].Slots)
				any = true
			}
		}
	}
	if !any {
		return nil
	}
	return rd.lights()
}
