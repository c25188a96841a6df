#include "verdict.h"

namespace ringland::diagnosis::road {

Advice advice_for(const Figures& figures, const Borders& borders) {
    if (figures.ranges_serious > 0) return Advice::must_come_out;
    if (figures.ranges_affected > 0 || figures.clamp_share < borders.soft_below ||
        figures.spring_share >= borders.renew_spring_share || figures.pump_share >= borders.renew_pump_share)
        return Advice::renew_while_open;
    if (figures.clamp_share < borders.watch_clamp_share || figures.spring_share >= borders.watch_spring_share ||
        figures.pump_share >= borders.watch_pump_share)
        return Advice::watch;
    return Advice::leave;
}

} // namespace ringland::diagnosis::road
