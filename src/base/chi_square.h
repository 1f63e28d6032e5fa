// SPDX-License-Identifier: Apache-2.0
// The distribution of chi square, both ways.
#pragma once

namespace pivotfix {

// Probability that chi square is this large or larger.
double chi_square_probability(double chi_square, int degrees_of_freedom);

// Chi square that is reached or passed with this probability; `probability` from 1e-200 to 1.
double chi_square_at(double probability, int degrees_of_freedom);

}  // namespace pivotfix
