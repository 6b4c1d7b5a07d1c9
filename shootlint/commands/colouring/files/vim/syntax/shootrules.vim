" Made by python -m shootlint.commands.colouring.prepare from the grammars and the model: change those, not this file.
if exists("b:current_syntax")
  finish
endif
syntax iskeyword @,48-57,_,192-255
syntax match shootrulesEnd /\v;/ nextgroup=shootrulesBlock,shootrulesHead skipwhite
highlight default link shootrulesEnd Delimiter
syntax match shootrulesWord /\v%([0-9_]@!\k)\k*%([-.\/]\k+)*|\%/
highlight default link shootrulesWord Normal
syntax match shootrulesReading /\v%(high-speed-sync-loss-told|full-flashes-elsewhere|blur-with-diffraction|ambient-over-setting|frames-for-open-eyes|full-flashes-planned|high-speed-sync-loss|ambient-off-balance|background-distance|background-exposure|front-colours-apart|chroma-off-ambient|chroma-off-balance|front-over-setting|golden-hour-starts|ground-reflectance|overhead-line-away|resolution-for-eye|start-on-the-clock|tallest-off-middle|ambient-under-key|background-sunlit|fill-over-setting|light-colour-bare|resolution-wanted|sensor-blur-limit|catchlight-angle|end-on-the-clock|golden-hour-ends|key-over-setting|light-along-axis|meter-correction|open-eyes-chance|print-resolution|shoulder-breadth|shutter-shortest|sun-leaves-group|viewing-distance|air-temperature|background-blur|camera-shortest|flash-tail-lost|glare-clearance|high-speed-sync|highest-support|holder-distance|light-elevation|light-to-person|modifier-height|recycle-at-full|shoulder-height|shutter-follows|shutter-longest|sun-meets-group|ambient-colour|blue-hour-ends|camera-longest|flash-duration|focus-distance|image-distance|level-skylight|light-distance|light-in-frame|lighting-ratio|modifier-round|modifier-width|nearest-person|posed-distance|print-diagonal|printed-height|side-of-holder|support-height|camera-height|closest-focus|column-offset|face-exposure|flash-at-full|framing-asked|head-distance|head-on-print|least-row-gap|lens-from-aim|lens-shortest|lens-smallest|light-metered|lights-in-kit|lost-to-shape|magnification|meter-instant|meter-reading|pixels-across|printed-width|sensor-height|stand-carries|stand-highest|stand-tips-at|white-balance|aim-distance|battery-used|crown-height|cut-to-joint|direct-light|edge-stretch|field-height|focal-length|follow-error|ground-light|group-height|guide-number|head-breadth|hidden-share|key-evenness|lens-longest|light-across|light-colour|light-foot-y|light-height|light-hidden|light-margin|meter-excess|other-starts|people-count|power-needed|print-height|row-distance|sensor-width|shared-focus|sky-exposure|stand-spread|stop-less-at|stop-more-at|sun-altitude|sun-in-frame|sun-on-faces|traffic-away|area-factor|bottom-edge|camera-tilt|chin-height|crown-turns|diffraction|enlargement|face-hidden|fall-radius|feet-margin|field-width|filter-loss|foot-height|frames-take|gels-in-kit|group-width|head-height|head-margin|head-pixels|heads-apart|iso-highest|least-power|lens-widest|level-light|light-angle|lights-used|motion-blur|off-ambient|off-balance|print-width|rest-height|seated-only|sharp-limit|shutter-set|side-margin|slot-length|stands-used|sun-bearing|viewed-from|aim-across|aim-height|bag-needed|changeover|civil-dawn|civil-dusk|crowd-away|crown-span|cut-height|eye-height|focused-on|gusts-told|hand-shake|head-below|head-scale|hyperfocal|iso-lowest|key-hidden|light-away|light-blur|light-mass|light-turn|most-power|near-limit|neighbours|other-ends|reaches-to|row-number|rows-count|shade-from|shoulder-y|sky-colour|slope-away|slot-start|solar-noon|stand-load|stand-mass|sun-colour|sync-share|water-away|day-start|far-limit|focus-set|gel-shift|hand-held|hidden-by|key-level|key-reach|keys-used|level-run|longitude|rims-used|row-scale|shade-top|sky-light|sun-angle|sync-time|wind-area|wind-load|wind-mean|aim-away|aimed-at|aperture|distance|gel-loss|headroom|in-front|is-front|latitude|reads-as|shade-to|sideways|slot-end|softness|sun-beam|ambient|crown-y|day-end|flashes|glasses|held-by|instant|is-fill|light-x|light-y|overlap|recycle|setting|shutter|stature|sunrise|tallest|chin-y|facing|feet-y|frames|head-x|head-y|holder|is-key|on-arm|sunlit|sunset|flash|power|reach|blur|drag|gust|held|mark|pose|rise|role|sway|age|bag|gap|iso|sky)%(\k|[-.\/]\k)@!/
highlight default link shootrulesReading Identifier
syntax match shootrulesFunction /\v%(count|known|mean|abs|all|any|max|min|sum)%(\k|[-.\/]\k)@!/
highlight default link shootrulesFunction Function
syntax match shootrulesPhrase /\v%(uncertain|formerly|rulebook|because|caution|package|require|shipped|adjust|before|forbid|prefer|remedy|retire|source|bound|fails|holds|least|level|since|title|most|rule|when|with|for|say|set|use|at|to|x)%(\k|[-.\/]\k)@!/
highlight default link shootrulesPhrase Statement
syntax match shootrulesChoice /\v%(neighbours|warning|minute|person|error|light|print|setup|each|note|pair|plan|of)%(\k|[-.\/]\k)@!/
highlight default link shootrulesChoice Boolean
syntax match shootrulesRule /\v%([0-9_]@!\k)%(-|\k)*%(\.%(-|\k)+)+/
highlight default link shootrulesRule Function
syntax match shootrulesJoining /\v%(between|require|where|over|when|and|for|not|is|or)%(\k|[-.\/]\k)@!/
highlight default link shootrulesJoining Operator
syntax match shootrulesHead /\v^\s*\zs%(uncertain|formerly|rulebook|because|require|forbid|prefer|remedy|retire|source|bound|fails|holds|level|since|title|when|for|say|set|use)%(\k|[-.\/]\k)@!/
syntax match shootrulesHead /\v%(uncertain|formerly|rulebook|because|require|forbid|prefer|remedy|retire|source|bound|fails|holds|level|since|title|when|for|say|set|use)%(\k|[-.\/]\k)@!/ contained
highlight default link shootrulesHead Keyword
syntax match shootrulesBlock /\v^\s*\zs%(caution|adjust|rule)%(\k|[-.\/]\k)@!/
syntax match shootrulesBlock /\v%(caution|adjust|rule)%(\k|[-.\/]\k)@!/ contained
highlight default link shootrulesBlock Structure
syntax match shootrulesComma /\v,/
highlight default link shootrulesComma Delimiter
syntax match shootrulesBrace /\v\}/ nextgroup=shootrulesBlock,shootrulesHead skipwhite
highlight default link shootrulesBrace Delimiter
syntax match shootrulesBrace /\v\{/ nextgroup=shootrulesBlock,shootrulesHead skipwhite
highlight default link shootrulesBrace Delimiter
syntax match shootrulesBracket /\v\)/
highlight default link shootrulesBracket Delimiter
syntax match shootrulesBracket /\v\(/
highlight default link shootrulesBracket Delimiter
syntax match shootrulesOperator /\v\//
highlight default link shootrulesOperator Operator
syntax match shootrulesOperator /\v\*/
highlight default link shootrulesOperator Operator
syntax match shootrulesOperator /\v\-/
highlight default link shootrulesOperator Operator
syntax match shootrulesOperator /\v\+/
highlight default link shootrulesOperator Operator
syntax match shootrulesOperator /\v\<\=|\>\=|!\=|\=|\<|\>/
highlight default link shootrulesOperator Operator
syntax match shootrulesString /\v"%([^"\\]|\\.)*"/
highlight default link shootrulesString String
syntax match shootrulesComment /\v#.*/
highlight default link shootrulesComment Comment
syntax match shootrulesNumber /\v[+-]?%(\d+\/\d+|\d+%(\.\d+)?%([eE][+-]?\d+)?)/ nextgroup=shootrulesUnit skipwhite
syntax match shootrulesUnit /\v%(%(milliseconds|centimeters|centimetres|millimeters|millimetres|millisecond|centimeter|centimetre|fahrenheit|kilometers|kilometres|millimeter|millimetre|kilograms|kilometer|kilometre|kilogram|celsius|degrees|minutes|newtons|percent|seconds|degree|inches|joules|kelvin|meters|metres|minute|mireds|newton|pixels|pounds|second|force|grams|joule|knots|meter|metre|mired|pixel|pound|stops|feet|foot|gram|inch|km\/h|knot|stop|deg|kph|lbs|lux|m\/s|min|mph|ppi|sec|EV|Ws|cm|ev|ft|in|kg|km|kn|lb|lx|mm|ms|px|C|F|J|K|g|m|s)%(\k|[-.\/]\k)@!|\%)/ contained
highlight default link shootrulesNumber Number
syntax match shootrulesAperture /\vf\/[+-]?\d+%(\.\d+)?/
highlight default link shootrulesAperture Number
syntax match shootrulesClock /\v\d{1,2}:\d{2}%(%(:|\k))@!/
highlight default link shootrulesClock Constant
syntax match shootrulesDate /\v\d{4}-\d{2}-\d{2}%(%([.-]|\k))@!/
highlight default link shootrulesDate Constant
highlight default link shootrulesUnit Type
let b:current_syntax = "shootrules"
