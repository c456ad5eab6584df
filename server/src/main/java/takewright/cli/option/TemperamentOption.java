package takewright.cli.option;

import takewright.v1.Temperament;

/** Temperaments as the commands and the sheet write them. */
public enum TemperamentOption {
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
  public Temperament wire() {
    return wire;
  }
}
