package takewright.cli;

import takewright.v1.Temperament;

/** Temperaments as the commands and the sheet write them. */
enum TemperamentOption {
  equal(Temperament.TEMPERAMENT_EQUAL),
  pythagorean(Temperament.TEMPERAMENT_PYTHAGOREAN),
  quarter_comma_meantone(Temperament.TEMPERAMENT_QUARTER_COMMA_MEANTONE),
  werckmeister_3(Temperament.TEMPERAMENT_WERCKMEISTER_3),
  kirnberger_3(Temperament.TEMPERAMENT_KIRNBERGER_3),
  vallotti(Temperament.TEMPERAMENT_VALLOTTI),
  just(Temperament.TEMPERAMENT_JUST);

  private final Temperament wire;

  TemperamentOption(Temperament wire) {
    this.wire = wire;
  }

  /** As the contract has it. */
  Temperament wire() {
    return wire;
  }
}
