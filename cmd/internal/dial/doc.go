// Package dial draws the operator's picture, the turntable seen from above: the
// hull in the middle, turned as the table is, a ring of angle marks that turns with
// it against the camera's pointer, and around them, fixed in the room and to
// scale, the sources and cards, glowing as they are told to. Beside it each source
// has an exposure ruler and a swatch; below stand the angles as small hulls and one
// tile that says what comes next.
//
// [SVG] is the picture for screens and paper, [Sheet] that of several cues side by
// side, [Text] the same in characters for a terminal. All are pure functions of a
// shoot and a snapshot: the same bytes for the same input, whatever names and
// figures they hold.
//
// Angles are in degrees, counter-clockwise seen from above, 0 toward the camera;
// places are in metres; coordinates of a drawing are in pixels, y down. A picture
// carries its looks as attributes with a class beside them and holds no style
// sheet, no script and nothing fetched from elsewhere, so a page with a strict
// content policy can take it in and dress it anew.
//
// It refuses to know how light is computed, solved or sent, what a key or a tap
// does, and where a picture goes.
package dial
