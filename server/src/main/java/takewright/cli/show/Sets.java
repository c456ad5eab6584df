package takewright.cli.show;

import java.lang.annotation.ElementType;
import java.lang.annotation.Retention;
import java.lang.annotation.RetentionPolicy;
import java.lang.annotation.Target;

/**
 * The fields of the request that an option or a parameter sets, where their names differ: an option
 * such as {@code --amount-db} sets the field {@code amount_db}, wherever it lies in the request.
 */
@Retention(RetentionPolicy.RUNTIME)
@Target(ElementType.FIELD)
public @interface Sets {
  /** Paths such as {@code config.input.file}. */
  String[] value();
}
