package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/cue/camera"
)

// lens is the camera as one cue has it: each figure, or what is missing for it.
type lens struct {
	seconds, iso, fps   known
	focal               known // mm
	width, height       known // of the sensor, mm
	distance            known // sensor to aim point, mm
	marked, effective   known // f-number on the lens, and with the loss of close focus
	magnification       known
	focus               known // entrance pupil to aim point, mm
	pupil               float64
	blur                known // allowed, mm
	blurWritten         bool
	loss                float64 // share of the light that filters and glass let through
	elevation           float64 // degrees
	level               bool    // nobody said how high it stands
	meterC, meterK      float64
	shutter, apertureIs string // as written
}

const (
	needFocal    = `[camera] focal, as focal = "50 mm"`
	needSensor   = `[camera] sensor, as sensor = "36x24 mm"`
	needDistance = `[camera] distance, as distance = "0.9 m"`
	needAperture = `[camera] aperture, as aperture = "f/16"`
	needShutter  = `[camera] shutter, as shutter = "1/50 s"`
	needISO      = `[camera] iso, as iso = 400`
	needFPS      = `[camera] fps, as fps = 25`
)

// lensOf is the camera with what a cue changes of it.
func lensOf(s *cue.Shoot, change *cue.CameraChange) lens {
	c := s.Camera
	if change.Shutter != nil {
		c.Shutter = *change.Shutter
	}
	if change.Aperture != nil {
		c.Aperture = *change.Aperture
	}
	if change.ISO != nil {
		c.ISO = *change.ISO
	}
	if change.FPS != nil {
		c.FPS = *change.FPS
	}
	if change.Focal != nil {
		c.Focal = *change.Focal
	}
	if change.Distance != nil {
		c.Distance = *change.Distance
	}
	l := lens{
		seconds: lacks(needShutter), iso: written(float64(c.ISO), needISO), fps: written(c.FPS, needFPS),
		focal: written(1000*c.Focal.Metres, needFocal), distance: written(1000*c.Distance.Metres, needDistance),
		width: written(1000*c.Sensor.Width, needSensor), height: written(1000*c.Sensor.Height, needSensor),
		marked: written(c.Aperture.N, needAperture), pupil: orOne(c.PupilRatio),
		meterC: c.MeterC, meterK: c.MeterK, shutter: c.Shutter.String(), apertureIs: c.Aperture.String(),
	}
	if t := c.Shutter.Seconds(c.FPS); t > 0 {
		l.seconds = is(t)
	} else if c.Shutter.IsAngle() {
		l.seconds = lacks(needFPS)
	}
	if l.meterC == 0 {
		l.meterC = camera.MeterC
	}
	if l.meterK == 0 {
		l.meterK = camera.MeterK
	}
	l.loss = orOne(c.Transmission.Share) * camera.ND(c.ND).Transmittance
	l.stand(s, &c)
	l.blur, l.blurWritten = written(1000*c.Blur.Metres, needSensor), c.Blur.Metres > 0
	if !l.blur.ok() && l.width.ok() && l.height.ok() {
		_, b := camera.AllowedBlur(l.width.value, l.height.value, camera.BlurDivisor)
		l.blur = is(b)
	}
	l.reach()
	l.open(c.Effective)
	return l
}

// written is a value that is above 0 where somebody wrote it.
func written(v float64, need string) known {
	if v > 0 {
		return is(v)
	}
	return lacks(need)
}

func orOne(v float64) float64 {
	if v == 0 {
		return 1
	}
	return v
}

// stand finds how high the camera stands.
func (l *lens) stand(s *cue.Shoot, c *cue.Camera) {
	switch h := c.Height.Metres - s.Subject.Height.Metres/2; {
	case c.HasElevation:
		l.elevation = c.Elevation.Degrees
	case !c.Height.IsZero() && c.Distance.Metres > math.Abs(h):
		l.elevation = math.Asin(h/c.Distance.Metres) * 180 / math.Pi
	default:
		l.level = true
	}
}

// reach solves for the magnification: sensor and subject are f·(m + 1/m + 2)
// apart for a thin lens, whose principal planes fall together.
func (l *lens) reach() {
	l.magnification, l.focus = known{math.NaN(), missingOf([]term{with("", l.focal), with("", l.distance)})}, known{}
	if l.magnification.missing == "" {
		sum := l.distance.value/l.focal.value - 2
		if sum < 2 {
			l.magnification.missing = fmt.Sprintf("a lens of %g mm cannot focus at %s from its sensor, the least is %s: a distance or focal length that can be",
				l.focal.value, Near(l.distance.value/1000), Near(4*l.focal.value/1000))
		} else {
			l.magnification = is((sum - math.Sqrt(sum*sum-4)) / 2)
		}
	}
	l.focus = l.magnification
	if l.magnification.ok() {
		l.focus = is(l.focal.value * (1 + 1/l.magnification.value))
	}
}

// open finds the f-number on the lens and the effective one.
func (l *lens) open(showsEffective bool) {
	l.effective = l.marked
	switch {
	case !l.marked.ok():
	case !l.magnification.ok(): // far enough, the two are the same
		l.effective = known{math.NaN(), l.magnification.missing}
	case showsEffective:
		l.marked = is(camera.Marked(l.marked.value, l.magnification.value, l.pupil))
	default:
		n, _ := camera.Effective(l.marked.value, l.magnification.value, l.pupil)
		l.effective = is(n)
	}
}

// exposing is the effective f-number as light meters count: the marked one where
// the distance is not known, which is told.
func (l *lens) exposing() known {
	if l.effective.ok() || !l.marked.ok() {
		return l.effective
	}
	return l.marked
}
