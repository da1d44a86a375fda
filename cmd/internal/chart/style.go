package chart

// style dresses every picture: ink on paper, and light on dark where a screen
// asks for it. Colour is never the only way to tell two things apart. Plain
// classes only: converters know no custom properties.
const style = `
text{font-family:system-ui,sans-serif;font-size:12px;fill:#24272c}
.paper{fill:#fcfbf8}
.title{font-size:20px;font-weight:600}
.sub{font-size:13px;fill:#5d626b}
.head{font-size:13px;font-weight:600}
.small{font-size:11px;fill:#5d626b}
.mark{font-size:11px;fill:#3f444c}
.name{font-size:12px;font-weight:600}
.halo{paint-order:stroke;stroke:#f4f2ec;stroke-width:4px;stroke-linejoin:round}
.value{font-size:13px}
.grid{stroke:#e7e4dc;stroke-width:1}
.axis{stroke:#8b9098;stroke-width:1}
.tick{stroke:#5d626b;stroke-width:1}
.frame{fill:none;stroke:#b9b6ad;stroke-width:1}
.field{fill:#f4f2ec}
.spectrum{fill:none;stroke-width:4;stroke-linecap:round}
.purple{fill:none;stroke:#8b9098;stroke-width:1.5;stroke-dasharray:2 4}
.planck{fill:none;stroke:#24272c;stroke-width:1.5}
.daylight{fill:none;stroke:#24272c;stroke-width:1.2;stroke-dasharray:5 3}
.gamut{fill:#0f6b6b;fill-opacity:.07;stroke:#0f6b6b;stroke-width:1.6;stroke-linejoin:round}
.reach{fill:none;stroke:#0f6b6b;stroke-width:2.4;stroke-linecap:round}
.emitter{stroke:#24272c;stroke-width:1.4}
.step{fill:none;stroke:#24272c;stroke-width:1;stroke-opacity:.55}
.miss{stroke:#a8321a;stroke-width:1.6}
.target{fill:none;stroke:#24272c;stroke-width:1.8}
.reached{fill:#a8321a;stroke:#fcfbf8;stroke-width:1.4}
.zoom{fill:none;stroke:#5d626b;stroke-width:1;stroke-dasharray:3 3}
.series{fill:none;stroke:#0f6b6b;stroke-width:2;stroke-linejoin:round}
.series2{fill:none;stroke:#a8321a;stroke-width:2;stroke-dasharray:6 3;stroke-linejoin:round}
.dot{fill:#0f6b6b;stroke:#fcfbf8;stroke-width:1}
.dot2{fill:#a8321a;stroke:#fcfbf8;stroke-width:1}
.hollow{fill:#fcfbf8;stroke:#0f6b6b;stroke-width:1.8}
.stem{stroke:#0f6b6b;stroke-width:2}
.band1{fill:#0f6b6b;fill-opacity:.16}
.band2{fill:#0f6b6b;fill-opacity:.10}
.band4{fill:#0f6b6b;fill-opacity:.05}
.deep4{fill:#bcd5d2}
.deep2{fill:#62a09c}
.deep1{fill:#0f5656}
.swatch{stroke:#8b9098;stroke-width:.6}
.edge{fill:none;stroke:#8b9098;stroke-width:.6}
.key1{fill:#0f6b6b}
.key2{fill:#a8321a}
@media screen and (prefers-color-scheme:dark){
text{fill:#ece9e2}
.paper{fill:#15171b}
.sub,.small{fill:#a2a7b0}
.mark{fill:#c3c7ce}
.halo{stroke:#1b1e23}
.grid{stroke:#262a31}
.axis{stroke:#7b818b}
.tick{stroke:#a2a7b0}
.frame{stroke:#454a53}
.field{fill:#1b1e23}
.purple,.swatch,.edge{stroke:#7b818b}
.planck,.daylight,.step,.target,.emitter{stroke:#ece9e2}
.gamut{fill:#63cfc6;stroke:#63cfc6}
.reach,.series,.stem{stroke:#63cfc6}
.miss,.series2{stroke:#ff9176}
.reached,.dot2{fill:#ff9176;stroke:#15171b}
.zoom{stroke:#a2a7b0}
.dot{fill:#63cfc6;stroke:#15171b}
.hollow{fill:#15171b;stroke:#63cfc6}
.band1,.band2,.band4{fill:#63cfc6}
.deep4{fill:#214340}
.deep2{fill:#3b8781}
.deep1{fill:#8ff0e6}
.key1{fill:#63cfc6}
.key2{fill:#ff9176}
}
`
