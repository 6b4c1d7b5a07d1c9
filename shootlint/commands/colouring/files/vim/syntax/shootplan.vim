" Made by python -m shootlint.commands.colouring.prepare from the grammars and the model: change those, not this file.
if exists("b:current_syntax")
  finish
endif
syntax iskeyword @,48-57,_,192-255
syntax match shootplanEnd /\v;/ nextgroup=shootplanBlock,shootplanHead skipwhite
highlight default link shootplanEnd Delimiter
syntax match shootplanWord /\v%([0-9_]@!\k)\k*%([-.\/]\k+)*|\%/
highlight default link shootplanWord Normal
syntax match shootplanPhrase /\v%(high-speed-sync|white-balance|seated-only|background|elevation|shootplan|aperture|distance|duration|modifier|position|ambient|bearing|because|between|carries|closest|flashes|follows|glasses|highest|metered|recycle|shutter|stature|support|weather|accept|behind|camera|colour|energy|facing|filter|frames|ground|hazard|height|people|pixels|sensor|spread|viewed|window|focal|focus|frame|guide|gusts|least|light|loses|meter|place|power|print|setup|shade|shift|stand|title|until|away|base|date|from|held|lens|mass|rows|site|size|step|sync|tilt|time|wind|zone|age|aim|air|bag|for|gel|iso|kit|row|sky|as|at|by|on|to|up|x)%(\k|[-.\/]\k)@!/
highlight default link shootplanPhrase Statement
syntax match shootplanChoice /\v%(head-and-shoulders|three-quarter|beauty-dish|full-length|half-length|background|landscape|reflector|handheld|kneeling|overcast|portrait|standing|umbrella|lantern|octabox|sitting|softbox|boards|cloudy|gravel|seated|shaded|sunlit|tripod|clear|grass|lying|panel|paved|right|strip|bare|dome|fill|hair|hazy|left|sand|key|mud|rim|E|N|S|W)%(\k|[-.\/]\k)@!/
highlight default link shootplanChoice Boolean
syntax match shootplanRule /\v%([0-9_]@!\k)%(-|\k)*%(\.%(-|\k)+)+/
highlight default link shootplanRule Function
syntax match shootplanHead /\v^\s*\zs%(high-speed-sync|white-balance|background|elevation|shootplan|aperture|duration|modifier|position|carries|closest|flashes|highest|metered|recycle|shutter|support|accept|colour|energy|facing|frames|ground|hazard|height|pixels|sensor|spread|viewed|window|focal|focus|frame|guide|loses|meter|place|power|shade|shift|title|date|mass|size|sync|time|wind|zone|air|iso|kit|sky|at)%(\k|[-.\/]\k)@!/
syntax match shootplanHead /\v%(high-speed-sync|white-balance|background|elevation|shootplan|aperture|duration|modifier|position|carries|closest|flashes|highest|metered|recycle|shutter|support|accept|colour|energy|facing|frames|ground|hazard|height|pixels|sensor|spread|viewed|window|focal|focus|frame|guide|loses|meter|place|power|shade|shift|title|date|mass|size|sync|time|wind|zone|air|iso|kit|sky|at)%(\k|[-.\/]\k)@!/ contained
highlight default link shootplanHead Keyword
syntax match shootplanBlock /\v^\s*\zs%(weather|camera|filter|people|light|print|setup|stand|lens|site|step|gel|row)%(\k|[-.\/]\k)@!/
syntax match shootplanBlock /\v%(weather|camera|filter|people|light|print|setup|stand|lens|site|step|gel|row)%(\k|[-.\/]\k)@!/ contained
highlight default link shootplanBlock Structure
syntax match shootplanComma /\v,/
highlight default link shootplanComma Delimiter
syntax match shootplanBrace /\v\}/ nextgroup=shootplanBlock,shootplanHead skipwhite
highlight default link shootplanBrace Delimiter
syntax match shootplanBrace /\v\{/ nextgroup=shootplanBlock,shootplanHead skipwhite
highlight default link shootplanBrace Delimiter
syntax match shootplanString /\v"%([^"\\]|\\.)*"/
highlight default link shootplanString String
syntax match shootplanComment /\v#.*/
highlight default link shootplanComment Comment
syntax match shootplanNumber /\v[+-]?%(\d+\/\d+|\d+%(\.\d+)?%([eE][+-]?\d+)?)/ nextgroup=shootplanUnit skipwhite
syntax match shootplanUnit /\v%(%(milliseconds|centimeters|centimetres|millimeters|millimetres|millisecond|centimeter|centimetre|fahrenheit|kilometers|kilometres|millimeter|millimetre|kilograms|kilometer|kilometre|kilogram|celsius|degrees|minutes|newtons|percent|seconds|degree|inches|joules|kelvin|meters|metres|minute|mireds|newton|pixels|pounds|second|force|grams|joule|knots|meter|metre|mired|pixel|pound|stops|feet|foot|gram|inch|km\/h|knot|stop|deg|kph|lbs|lux|m\/s|min|mph|ppi|sec|EV|Ws|cm|ev|ft|in|kg|km|kn|lb|lx|mm|ms|px|C|F|J|K|g|m|s)%(\k|[-.\/]\k)@!|\%)/ contained
highlight default link shootplanNumber Number
syntax match shootplanAperture /\vf\/[+-]?\d+%(\.\d+)?/
highlight default link shootplanAperture Number
syntax match shootplanClock /\v\d{1,2}:\d{2}%(%(:|\k))@!/
highlight default link shootplanClock Constant
syntax match shootplanDate /\v\d{4}-\d{2}-\d{2}%(%([.-]|\k))@!/
highlight default link shootplanDate Constant
highlight default link shootplanUnit Type
let b:current_syntax = "shootplan"
