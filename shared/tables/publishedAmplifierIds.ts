// The names of the published amplifier models, apart from their coefficients: the schema needs the names only, and so
// does the page. A test holds this list against the table.

export const publishedAmplifierIds = [
  'GaAs_2GHz',
  'GaN_2GHz',
  'CMOS_28GHz',
  'GaN_28GHz',
  'GaAs_2GHz_GMP',
  'GaN_2GHz_GMP',
  'CMOS_28GHz_GMP',
  'GaN_28GHz_GMP',
  'UE_4GHz_R4-163314',
  'mmwave_modified_Rapp_R4-163314',
  'IEEE_802.11ad_60GHz_modified_Rapp',
  'Saleh_1981_TWT',
  'Ding_2004',
  'Ding_2004_Wiener_Hammerstein',
] as const;
